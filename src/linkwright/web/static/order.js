// What was typed as an order stays with the browser until it is planned; a file may be dropped.

const KEY = "linkwright order";

export function keepOrder() {
  const text = document.getElementById("order-text");
  if (!text) {
    return;
  }
  const kept = localStorage.getItem(KEY);
  if (kept && !document.querySelector("#order-head ~ [role=alert]")) {
    text.value = kept;
    told("kept from before in this browser");
  }
  text.addEventListener("input", () => {
    localStorage.setItem(KEY, text.value);
    told(`kept in this browser at ${new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" })}`);
  });
  document.getElementById("order").addEventListener("submit", () => localStorage.removeItem(KEY));
  for (const kind of ["dragover", "dragleave", "drop"]) {
    text.addEventListener(kind, (event) => {
      event.preventDefault();
      text.classList.toggle("over", kind === "dragover");
    });
  }
  text.addEventListener("drop", async (event) => {
    const [file] = event.dataTransfer.files;
    if (file) {
      text.value = await file.text();
      text.dispatchEvent(new Event("input"));
    }
  });
}

function told(words) {
  document.getElementById("order-kept").textContent = words;
}
