// Small helps only: every page works without this file.
"use strict";
document.addEventListener("submit", (event) => {
  // One send per press: the key makes a second one harmless, this makes it rare.
  const form = event.target;
  if (form.method !== "post" || event.defaultPrevented) return;
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "1";
  window.setTimeout(() => { delete form.dataset.sent; }, 4000);
});
window.addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
});
