/* Units, paper and "only differences". Everything can be undone; nothing moves by itself. */
(function () {
  "use strict";
  function byId(id) { return document.getElementById(id); }
  var root = document.documentElement;
  var announcer = byId("_announce");

  function kept(name) {
    try { return localStorage.getItem("gaugebook." + name); } catch (refused) { return null; }
  }
  function keep(name, value) {
    try { localStorage.setItem("gaugebook." + name, value); } catch (refused) { /* chosen for this page only */ }
  }
  function say(words) {
    if (announcer) announcer.textContent = words;
  }
  function radios(name) {
    return Array.prototype.slice.call(document.querySelectorAll('input[type="radio"][name="' + name + '"]'));
  }
  function choose(name, value) {
    radios(name).forEach(function (radio) { radio.checked = radio.value === value; });
  }

  /* On a narrow screen the menu, the rules of the caution and the list of contents wait behind a
     button; whatever an address names is opened. */
  var head = document.querySelector(".head");
  var menu = document.querySelector(".menu");
  function unfolds(button, box) {
    button.addEventListener("click", function () {
      button.setAttribute("aria-expanded", String(box.classList.toggle("open")));
    });
  }
  if (menu) unfolds(menu, head);
  Array.prototype.forEach.call(document.querySelectorAll(".unfold"), function (button) {
    unfolds(button, button.parentNode);
  });

  /* Units: each figure carries its other writings and keeps that which it stands in, so switching
     back gives the identical text. */
  var heads = new Map();
  var systems = { written: "as written", si: "SI", us: "US" };
  var first = root.getAttribute("data-units") || "written";
  var switched = ".figure[data-si], .figure[data-us]";
  var firsts = new Map();
  function writing(figure, system) {
    return figure.getAttribute("data-" + system) || firsts.get(figure);
  }
  function showUnits(system) {
    var figures = document.querySelectorAll(switched);
    for (var i = 0; i < figures.length; i++) {
      if (!firsts.has(figures[i])) firsts.set(figures[i], figures[i].textContent);
      figures[i].textContent = writing(figures[i], system);
    }
    root.setAttribute("data-units", system);
    Array.prototype.forEach.call(document.querySelectorAll(".text table thead th"), showHead);
  }
  /* A head that names the unit of its column names it only as long as the cells leave it to the
     head; figures in another system bring their own. */
  function showHead(head) {
    var text = heads.get(head) || head.textContent;
    if (head.children.length || !/\([^()]+\)\s*$/.test(text)) return;
    heads.set(head, text);
    var column = Array.prototype.indexOf.call(head.parentNode.children, head);
    var moved = Array.prototype.some.call(head.closest("table").tBodies, function (body) {
      return Array.prototype.some.call(body.rows, function (row) {
        var figure = row.cells[column] && row.cells[column].querySelector(switched);
        return figure && figure.textContent !== (writing(figure, "written") || figure.textContent);
      });
    });
    head.textContent = moved ? text.replace(/\s*\([^()]+\)\s*$/, "") : text;
  }
  var chosen = kept("units");
  if (!systems.hasOwnProperty(chosen)) chosen = first;
  if (chosen !== first) showUnits(chosen);
  choose("units", chosen);
  radios("units").forEach(function (radio) {
    radio.addEventListener("change", function () {
      if (!radio.checked) return;
      showUnits(radio.value);
      keep("units", radio.value);
      say("Figures are shown " + (radio.value === "written" ? "as written" : "in " + systems[radio.value] + " units") + ".");
    });
  });

  /* Paper */
  var scheme = kept("scheme");
  choose("scheme", scheme === "light" || scheme === "dark" ? scheme : "system");
  radios("scheme").forEach(function (radio) {
    radio.addEventListener("change", function () {
      if (!radio.checked) return;
      if (radio.value === "system") root.removeAttribute("data-scheme");
      else root.setAttribute("data-scheme", radio.value);
      keep("scheme", radio.value);
      say("Paper: " + (radio.value === "system" ? "as the system has it" : radio.value) + ".");
    });
  });

  /* What a picture shows that the one before it does not is brought into the box that it is panned in;
     of the first, the rear end of its largest piece, the body. */
  function pieces(svg) {
    return Array.prototype.filter.call(svg.children, function (piece) { return piece.getBBox; });
  }
  function nameOf(piece) { return piece.id || (piece.getAttribute("href") || "").slice(1); }
  window.gaugebookPan = function (box, svg, before) {
    if (!svg || box.scrollWidth <= box.clientWidth) return;
    var scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
    var left = Infinity, right = -Infinity;
    if (!before) {
      var sizes = Array.prototype.map.call(svg.querySelectorAll("path"), function (piece) { return piece.getBBox(); });
      var body = sizes.sort(function (a, b) { return b.width * b.height - a.width * a.height; })[0];
      if (body) box.scrollLeft = body.x * scale - 12;
      return;
    }
    var known = pieces(before).map(nameOf);
    pieces(svg).forEach(function (piece) {
      if (nameOf(piece) && known.indexOf(nameOf(piece)) >= 0) return;
      var size = piece.getBBox();
      left = Math.min(left, size.x);
      right = Math.max(right, size.x + size.width);
    });
    if (left <= right) box.scrollLeft = (left + right) / 2 * scale - box.clientWidth / 2;
  };

  /* A finger on a slider that turns out to scroll the page puts it back where it was. */
  window.gaugebookSlide = function (slider, show) {
    var before = slider.value;
    slider.addEventListener("pointerdown", function () { before = slider.value; });
    slider.addEventListener("pointercancel", function () { show(Number(before)); });
    slider.addEventListener("input", function () { show(Number(slider.value)); });
  };

  /* One shot: a slider over its events. Without it the poses stand side by side. */
  var poses = byId("_poses");
  var scrub = byId("_scrub");
  if (poses && scrub) {
    var all = Array.prototype.slice.call(poses.children);
    var slider = byId("_scrub-at");
    var together = byId("_scrub-all");
    var at = 0;
    var pan = function () {
      if (!poses.classList.contains("all")) window.gaugebookPan(poses, all[at].querySelector("svg"), at > 0 && all[at - 1].querySelector("svg"));
    };
    var show = function (next, speak) {
      at = Math.max(0, Math.min(all.length - 1, next));
      all.forEach(function (pose, index) { pose.classList.toggle("shown", index === at); });
      slider.value = String(at);
      slider.setAttribute("aria-valuetext", all[at].querySelector(".pose-event").textContent);
      if (speak) say(all[at].querySelector(".pose-event").textContent);
      pan();
    };
    var showAll = function (on) {
      poses.classList.toggle("all", on);
      together.setAttribute("aria-pressed", String(on));
    };
    /* A pose that an address names is shown, and brought into the window: it was not there before. */
    var follow = function () {
      for (var i = 0; i < all.length; i++) {
        if ("#" + all[i].id !== location.hash) continue;
        show(i, false);
        all[i].scrollIntoView();
      }
    };
    window.gaugebookSlide(slider, function (next) { show(next, false); });
    byId("_scrub-back").addEventListener("click", function () { show(at - 1, true); });
    byId("_scrub-on").addEventListener("click", function () { show(at + 1, true); });
    together.addEventListener("click", function () { showAll(!poses.classList.contains("all")); });
    /* Larger than the page, or small enough to be seen whole, or neither. */
    var looks = ["large", "bare"];
    looks.forEach(function (look) {
      byId("_scrub-" + look).addEventListener("click", function () {
        var on = !poses.classList.contains(look);
        looks.forEach(function (each) {
          var is = poses.classList.toggle(each, on && each === look);
          byId("_scrub-" + each).setAttribute("aria-pressed", String(is));
        });
        pan();
      });
    });
    window.addEventListener("hashchange", follow);
    show(0, false);
    follow();
  }

  /* Whatever an address names is unfolded, also what stands folded under a heading that it names. */
  function reveal() {
    var named = location.hash.length > 1 && byId(decodeURIComponent(location.hash.slice(1)));
    if (!named) return;
    var under = /^H[2-4]$/.test(named.tagName) && named.nextElementSibling;
    var fold = under && under.matches("details") ? under : named.closest("details");
    var wasFolded = false;
    for (; fold; fold = fold.parentNode.closest("details")) {
      wasFolded = wasFolded || !fold.open;
      fold.open = true;
    }
    if (wasFolded) named.scrollIntoView();
  }
  window.addEventListener("hashchange", reveal);
  reveal();

  /* Comparison: rows in which all engines are equal can be put away, and events between milestones. */
  function puttingAway(rows, look, told) {
    var toggles = Array.prototype.slice.call(document.querySelectorAll('button[data-hides="' + rows + '"]'));
    var sheet = byId("_sheet");
    var count = document.querySelectorAll("tr." + rows).length;
    toggles.forEach(function (toggle) {
      toggle.addEventListener("click", function () {
        var on = toggle.getAttribute("aria-pressed") !== "true";
        toggles.forEach(function (each) { each.setAttribute("aria-pressed", String(on)); });
        sheet.classList.toggle(look, on);
        say(on ? count + (count === 1 ? " row is" : " rows are") + " put away " + told + "." : "All rows are shown.");
      });
    });
  }
  puttingAway("same", "only-differences", "because all engines are equal");
  puttingAway("between", "only-milestones", "between milestones");

  /* Tables that can be sorted by a column: text by its letters, figures by their value, the largest
     first; rows without one stand last. The first order comes back with the third press. */
  Array.prototype.forEach.call(document.querySelectorAll("table:has(th[data-sorts])"), function (table) {
    var body = table.tBodies[0];
    var heads = Array.prototype.slice.call(table.tHead.rows[0].cells);
    var first = Array.prototype.slice.call(body.rows);
    var choice = document.querySelector('[data-orders="' + table.id + '"]');
    var told = document.querySelector("[data-sorted]");
    function key(row, column) {
      var cell = row.cells[column];
      var figure = cell.querySelector("data.figure");
      var value = figure ? figure.getAttribute("value") : cell.getAttribute("data-value");
      if (value) return Number(value);
      return heads[column].classList.contains("num") ? null : cell.textContent.trim().toLowerCase();
    }
    function order(column, way) {
      heads.forEach(function (each) { each.removeAttribute("aria-sort"); });
      var rows = first.slice();
      if (way !== "none") {
        heads[column].setAttribute("aria-sort", way);
        var sign = way === "descending" ? -1 : 1;
        rows.sort(function (a, b) {
          var x = key(a, column), y = key(b, column);
          if (x === null || y === null) return (x === null) - (y === null);
          return x < y ? -sign : x > y ? sign : 0;
        });
      }
      rows.forEach(function (row) { body.appendChild(row); });
      var words = way === "none" ? "Rows stand in their first order." : "Sorted by " + heads[column].textContent.trim() + ", " + way + ".";
      var foremost = way !== "none" && heads[column].getAttribute("data-" + way);
      if (foremost) words += " " + foremost;
      if (told) {
        told.hidden = way === "none";
        told.textContent = words;
      } else say(words);
      if (choice) {
        choice.value = way === "none" ? "" : column + " " + way;
        if (choice.selectedIndex < 0) choice.value = "";
      }
    }
    heads.forEach(function (head, column) {
      if (!head.hasAttribute("data-sorts")) return;
      var ways = head.classList.contains("num") ? ["none", "descending", "ascending"] : ["none", "ascending", "descending"];
      head.addEventListener("click", function () {
        order(column, ways[(ways.indexOf(head.getAttribute("aria-sort") || "none") + 1) % 3]);
      });
    });
    if (choice) choice.addEventListener("change", function () {
      var asked = choice.value.split(" ");
      order(Number(asked[0]), asked[1] || "none");
    });
  });
  Array.prototype.forEach.call(document.querySelectorAll("input[data-sieves]"), function (sieve) {
    var body = byId(sieve.getAttribute("data-sieves")).tBodies[0];
    sieve.addEventListener("input", function () {
      var words = sieve.value.trim().toLowerCase();
      var count = 0;
      Array.prototype.forEach.call(body.rows, function (row) {
        row.hidden = row.textContent.toLowerCase().indexOf(words) < 0;
        if (!row.hidden) count += 1;
      });
      say(count + (count === 1 ? " row is" : " rows are") + " shown.");
    });
  });
  Array.prototype.forEach.call(document.querySelectorAll("button[data-benches]"), function (button) {
    var table = byId(button.getAttribute("data-benches"));
    var told = document.querySelector("[data-picked]");
    button.addEventListener("click", function () {
      var ticked = Array.prototype.map.call(table.querySelectorAll("input:checked"), function (box) { return box.value; });
      if (ticked.length < 2 || ticked.length > 4) {
        told.textContent = "Tick two to four engines first; " + (ticked.length || "none") + (ticked.length === 1 ? " is" : " are") + " ticked.";
        return;
      }
      location.href = (root.getAttribute("data-root") || "") + "bench.html#e=" + ticked.join(",");
    });
  });

  /* On long pages a way back up stays at hand. */
  var up = document.querySelector(".up");
  function keepUp() { up.hidden = window.scrollY < 2 * window.innerHeight; }
  window.addEventListener("scroll", keepUp, { passive: true });
  keepUp();

  Array.prototype.forEach.call(document.querySelectorAll("[data-prints]"), function (button) {
    button.hidden = false;
    button.addEventListener("click", function () { window.print(); });
  });

  /* On paper everything is unfolded. */
  window.addEventListener("beforeprint", function () {
    Array.prototype.forEach.call(document.querySelectorAll("details:not([open])"), function (fold) {
      fold.open = true;
      fold.setAttribute("data-unfolded", "");
    });
  });
  window.addEventListener("afterprint", function () {
    Array.prototype.forEach.call(document.querySelectorAll("details[data-unfolded]"), function (fold) {
      fold.open = false;
      fold.removeAttribute("data-unfolded");
    });
  });
})();
