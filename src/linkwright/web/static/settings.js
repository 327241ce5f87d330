// A setting that is changed: the page of the new draft takes the place of this one, and the way
// back undoes it.
import { fetched, loadParts, say } from "./parts.js";

let asked = 0;

export function moveSettings() {
  document.addEventListener("input", (event) => {
    if (event.target.matches(".dial input[type=range]")) {
      event.target.form.elements.value.value = event.target.value;
    }
  });
  document.addEventListener("change", (event) => {
    if (event.target.matches(".dial input[type=range]")) {
      event.target.form.requestSubmit();
    }
  });
  document.addEventListener("submit", (event) => {
    if (event.target.matches(".dial, .leave")) {
      event.preventDefault();
      const form = event.target;
      show(form.action, { method: "POST", body: new URLSearchParams(new FormData(form)) });
    }
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest(".route a, .metal a, #undo");
    if (link && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
      event.preventDefault();
      show(link.href?.baseVal ?? link.href);
    }
  });
  document.addEventListener("keydown", (event) => {
    const typing = event.target.matches("textarea, input:not([type=range])");
    const undo = document.getElementById("undo");
    if (undo && (event.ctrlKey || event.metaKey) && event.key === "z" && !typing) {
      event.preventDefault();
      show(undo.href);
    }
  });
  window.addEventListener("popstate", () => show(location.href, {}, false));
}

async function show(address, options = {}, remember = true) {
  const mine = ++asked;
  const main = document.getElementById("main");
  const focused = main.contains(document.activeElement) ? document.activeElement.id : "";
  main.classList.add("busy");
  try {
    const answer = await fetched(address, options);
    if (mine !== asked) {
      return;
    }
    const problem = answer.page.querySelector(".problems");
    if (!answer.ok && problem && options.method) {
      refuse(main, problem);
      return;
    }
    main.replaceChildren(...answer.page.querySelector("main").childNodes);
    document.title = answer.page.title;
    if (remember && answer.ok) {
      history.pushState(null, "", answer.address);
    }
    keepHead(answer);
    (focused ? document.getElementById(focused) : document.querySelector(".route [aria-current]"))?.focus({ preventScroll: true });
    const moved = document.querySelectorAll(".changed tbody tr").length;
    say(options.method ? `Settled again; ${moved} settings differ from where you began` : "");
    loadParts(main);
  } catch {
    say("The page could not be fetched: is the server still running?");
  } finally {
    main.classList.remove("busy");
  }
}

function keepHead(answer) {
  document.querySelector("header nav").replaceWith(answer.page.querySelector("header nav"));
  document.querySelector(".units [name=back]").value = new URL(answer.address).pathname;
}

function refuse(main, problem) {
  main.querySelector(".refused")?.remove();
  const place = document.createElement("div");
  place.className = "refused";
  place.setAttribute("role", "alert");
  place.append(problem);
  main.querySelector(".operation").prepend(place);
}
