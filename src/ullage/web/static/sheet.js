// What only a script can do, and nothing that the pages could not do without it:
// parts of a drawing open over it, and a thin line shows that work takes longer than a blink.
(() => {
  "use strict";
  const over = document.getElementById("over");
  const body = document.getElementById("over-body");
  const OPENS = "a[data-over], .diagram svg a";

  function plain(event) {
    return event.button === 0 && !(event.ctrlKey || event.metaKey || event.shiftKey || event.altKey);
  }

  document.addEventListener("click", (event) => {
    const link = plain(event) && event.target.closest(OPENS);
    if (!link) return;
    event.preventDefault();
    const address = link.getAttribute("href");
    htmx.ajax("GET", address, {
      source: link,
      target: "#over-body",
      swap: "innerHTML",
      headers: { "HX-Target": "div#over-body" },
    })
      .catch(() => window.location.assign(address));
  });

  document.addEventListener("htmx:after:swap", () => {
    document.body.classList.remove("working");
    if (!body.hasChildNodes() || over.open) return;
    over.showModal();
  });

  // The network failed: the page itself may know more, or the browser says so.
  document.addEventListener("htmx:error", (event) => {
    const link = event.target.closest && event.target.closest(OPENS);
    if (link) window.location.assign(link.getAttribute("href"));
  });

  over.addEventListener("close", () => body.replaceChildren());
  over.addEventListener("click", (event) => {
    if (event.target === over) over.close();
  });

  // One tap writes once, however often the finger falls.
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.method !== "post" || form.hasAttribute("hx-post")) return;
    if (form.dataset.sent) {
      event.preventDefault();
      return;
    }
    form.dataset.sent = "yes";
    document.body.classList.add("working");
  });
  window.addEventListener("pageshow", () => {
    document.body.classList.remove("working");
    document.querySelectorAll("form[data-sent]").forEach((form) => delete form.dataset.sent);
  });
})();
