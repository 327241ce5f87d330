// A number opens over the page and closes again with Escape, which a dialogue does by itself.
import { fetched, say } from "./parts.js";

const asked = new Map();

function ask(address) {
  if (!asked.has(address)) {
    asked.set(address, fetched(address));
  }
  return asked.get(address);
}

export function openNumbers() {
  // deriving a number takes longer than moving one, so it begins as soon as somebody points at it
  for (const kind of ["pointerover", "focusin"]) {
    document.addEventListener(kind, (event) => {
      const link = event.target.closest("a.opens");
      if (link) {
        ask(link.href).catch(() => asked.delete(link.href));
      }
    });
  }
  const dialogue = document.getElementById("opened");
  const content = document.getElementById("opened-content");
  document.addEventListener("click", async (event) => {
    const link = event.target.closest("a.opens");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) {
      return;
    }
    event.preventDefault();
    link.classList.add("busy");
    say("The number is being opened");
    try {
      const { page } = await ask(link.href);
      content.replaceChildren(...page.cloneNode(true).querySelector("main").childNodes);
    } catch {
      asked.delete(link.href);
      content.textContent = "The number could not be fetched: is the server still running?";
    }
    link.classList.remove("busy");
    say("");
    dialogue.showModal();
  });
  dialogue.addEventListener("close", () => content.replaceChildren());
}
