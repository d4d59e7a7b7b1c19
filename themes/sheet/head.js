/* Runs before the page is drawn, so that nothing jumps: says that scripts run, and applies what
   the reader chose on another page. */
(function () {
  "use strict";
  var root = document.documentElement;
  root.classList.add("js");
  try {
    var scheme = localStorage.getItem("gaugebook.scheme");
    if (scheme === "light" || scheme === "dark") root.setAttribute("data-scheme", scheme);
  } catch (refused) {
    /* Some browsers keep no storage for files; the system's scheme then stands. */
  }
})();
