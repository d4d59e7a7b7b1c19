// Served by the desk only: reloads the page after a change and shows the state of the folio.
"use strict";
(function () {
  var first = null;
  var bar = document.createElement("p");
  bar.setAttribute("role", "status");
  Object.assign(bar.style, {
    position: "fixed", right: "0", bottom: "0", margin: "0", padding: "0.4rem 0.8rem",
    font: "1rem/1.5 system-ui, sans-serif", color: "#fff", background: "#1d2b33", zIndex: "99",
  });
  var link = document.createElement("a");
  link.href = "/_desk/slips";
  link.style.color = "inherit";
  bar.append("Desk: ", link);

  function show(event) {
    var state = JSON.parse(event.data);
    link.textContent = state.headline || "slips";
    if (!bar.isConnected) document.body.append(bar);
    if (first === null) first = state.edition;
    if (first !== state.edition) location.reload();
  }

  var events = new EventSource("/_desk/events");
  events.addEventListener("state", show);
  events.addEventListener("reload", show);
  events.addEventListener("error", function () {
    link.textContent = "closed; waiting";
  });
})();
