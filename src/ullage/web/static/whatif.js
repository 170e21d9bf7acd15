// While a question is typed its answer comes anew; the address keeps the whole question, so that
// it can be kept, sent and loaded again. Without this the form does the same by its button.
(() => {
  "use strict";
  const asked = () => document.getElementById("question");

  function address(form) {
    const fields = new URLSearchParams(new FormData(form));
    return `${form.getAttribute("action")}?${fields}`;
  }

  document.addEventListener("htmx:after:swap", () => {
    const form = asked();
    if (form) history.replaceState(history.state, "", address(form));
  });

  // What the reader has unfolded stays so when the answer around it is renewed.
  const folding = (element, change) =>
    element.tagName === "DETAILS" && change.attrName === "open" && change.newValue === null;
  if (window.htmx) {
    htmx.registerExtension("whatif", {
      htmx_before_morph_attr: (element, change) => !folding(element, change),
    });
  }
})();
