// A figure opens how it was reached in the same place; without this script its link opens a page of its own.
const dialog = document.querySelector("[data-why-dialog]");

async function show(address) {
  const answer = await fetch(`${address}${address.includes("?") ? "&" : "?"}part=1`);
  if (!answer.ok) {
    location.href = address;
    return;
  }
  const made = new DOMParser().parseFromString(await answer.text(), "text/html");
  dialog.replaceChildren(...made.body.childNodes);
  if (!dialog.open) dialog.showModal();
  dialog.scrollTop = 0;
  dialog.querySelector("[data-why-close]")?.focus();
}

if (dialog) {
  document.addEventListener("click", e => {
    if (e.target.closest("[data-why-close]")) dialog.close();
    const a = e.target.closest("a[data-why]");
    if (!a || e.ctrlKey || e.metaKey || e.shiftKey) return;
    e.preventDefault();
    show(a.getAttribute("href"));
  });
}
