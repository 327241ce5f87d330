// A part of a page that takes longer than the rest is asked for once the rest is there.

export function say(text) {
  document.getElementById("said").textContent = text;
}

export async function fetched(address, options = {}) {
  const answer = await fetch(address, { credentials: "same-origin", ...options });
  return { ok: answer.ok, address: answer.url, page: new DOMParser().parseFromString(await answer.text(), "text/html") };
}

export function loadParts(within) {
  for (const place of within.querySelectorAll("[data-part]")) {
    load(place);
  }
}

async function load(place) {
  const address = place.dataset.part;
  place.removeAttribute("data-part");
  place.setAttribute("aria-busy", "true");
  try {
    const { page } = await fetched(address);
    const part = page.querySelector("main") ?? page.body;
    place.replaceChildren(...part.childNodes);
    loadParts(place);
  } catch {
    place.textContent = "This part could not be fetched: is the server still running?";
  }
  place.removeAttribute("aria-busy");
}
