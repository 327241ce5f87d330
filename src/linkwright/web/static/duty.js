// The ranking follows what is typed into the sentences; the address holds what was said.
import { fetched } from "./parts.js";

const WAIT_MS = 160;
let waiting = 0;
let asked = 0;

export function rankAsTyped() {
  document.addEventListener("input", (event) => {
    if (event.target.form?.id === "duty" && document.getElementById("answer")) {
      clearTimeout(waiting);
      waiting = setTimeout(rank, WAIT_MS);
    }
  });
}

async function rank() {
  const mine = ++asked;
  const said = new URLSearchParams(new FormData(document.getElementById("duty")));
  for (const [name, value] of [...said]) {
    if (!value) {
      said.delete(name);
    }
  }
  const { page } = await fetched(`/drive/answer?${said}`);
  if (mine === asked) {
    document.getElementById("answer").replaceChildren(...page.body.childNodes);
    history.replaceState(null, "", `/drive?${said}`);
  }
}
