/* The bench: sets engines side by side. What is comparable and what lies between two engines was
   settled when the site was made; here it is only shown. Each engine is a script of its own, for a
   page from disk can load nothing else. The address keeps the choice. */
(function () {
  "use strict";
  var MOST = 4;
  function byId(id) { return document.getElementById(id); }
  var root = document.documentElement;
  var home = root.getAttribute("data-root") || "";
  var picks = byId("_picks");
  if (!picks) return;
  var boxes = Array.prototype.slice.call(picks.querySelectorAll("input"));
  var table = byId("_bench-table");
  var status = byId("_bench-status");
  var differences = byId("_bench-differences");
  var largest = byId("_bench-largest");
  var folded = byId("_bench-folded");
  var sieve = byId("_bench-sieve");
  var known = boxes.map(function (box) { return box.value; });
  var chosen = [];
  var failed = {};

  function data(engine) { return (window.gaugebookBench || {})[engine]; }
  function load(engine, then) {
    if (data(engine) || failed[engine]) return then();
    window.gaugebookLoad(home + "data/bench/" + engine + ".js", then, function () { failed[engine] = true; then(); });
    return undefined;
  }
  function fromAddress() {
    var asked = /(?:^#|&)e=([^&]*)/.exec(location.hash);
    var names = asked ? decodeURIComponent(asked[1]).split(",") : [];
    return names.filter(function (name, at) {
      return known.indexOf(name) >= 0 && names.indexOf(name) === at;
    }).slice(0, MOST);
  }
  function choose(names) {
    chosen = names;
    boxes.forEach(function (box) {
      box.checked = chosen.indexOf(box.value) >= 0;
      box.disabled = !box.checked && chosen.length >= MOST;
    });
    var hash = chosen.length ? "#e=" + chosen.join(",") : "";
    if (location.hash !== hash) {
      try { history.replaceState(null, "", hash || location.pathname); } catch (refused) { location.hash = hash; }
    }
    var waiting = chosen.length;
    if (!waiting) return show();
    /* Who ticks on while files come is shown the last choice, and only once all of it is there. */
    chosen.forEach(function (name) {
      load(name, function () { waiting -= 1; if (!waiting && chosen === names) show(); });
    });
    return undefined;
  }

  function make(name, className, text) {
    var made = document.createElement(name);
    if (className) made.className = className;
    if (text !== undefined) made.textContent = text;
    return made;
  }
  function figure(shown) {
    var made = make("data", "figure");
    if (shown.value !== null) made.setAttribute("value", shown.value);
    ["written", "si", "us"].forEach(function (system) { made.setAttribute("data-" + system, shown[system]); });
    made.textContent = shown[root.getAttribute("data-units") || "written"];
    return made;
  }
  function plusMinus(shown) {
    var made = make("span", "pm", " ±\u00a0");
    made.appendChild(figure(shown));
    return made;
  }

  /* A share says more as a length. */
  function isShare(shown) {
    return /%$/.test(shown.written) && shown.value >= 0 && shown.value <= 1;
  }
  function bar(shown) {
    var made = make("meter", "share");
    made.max = 1;
    made.value = shown.value;
    made.setAttribute("aria-hidden", "true");
    return made;
  }

  function rowOf(engine, name) {
    var found = data(engine).rows.filter(function (row) { return row.name === name; });
    return found[0];
  }
  /* The rows that at least two of the chosen have, in the order of the data sheets. */
  function shared() {
    var order = [];
    var count = {};
    chosen.forEach(function (engine) {
      data(engine).rows.forEach(function (row) {
        if (!count[row.name]) { count[row.name] = 0; order.push(row); }
        count[row.name] += 1;
      });
    });
    var least = chosen.length === 1 ? 1 : 2;
    return order.filter(function (row) { return count[row.name] >= least; })
      .map(function (row, at) { return { row: row, at: at }; })
      .sort(function (a, b) { return a.row.rank - b.row.rank || a.at - b.at; })
      .map(function (pair) { return pair.row; });
  }
  function told(engine, name) {
    var pair = (data(engine).beside[chosen[0]] || {})[name];
    return engine === chosen[0] ? undefined : pair;
  }
  function factor(name) {
    var most = 0;
    chosen.forEach(function (engine) {
      var pair = told(engine, name);
      if (!pair || pair.relation !== "apart") return;
      most = Math.max(most, pair.ratio && pair.ratio.shown.value > 0 ? Math.abs(Math.log(pair.ratio.shown.value)) : 1e-9);
    });
    return most;
  }
  function agrees(name) {
    return chosen.slice(1).every(function (engine) {
      var pair = told(engine, name);
      return pair && (pair.relation === "same" || pair.relation === "not-told-apart");
    });
  }

  function cell(engine, name, cells) {
    var td = make("td");
    td.setAttribute("data-label", data(engine).name);
    var row = rowOf(engine, name);
    if (!row || !row.value) {
      var missing = row && row.missing;
      td.appendChild(make("span", "none", missing ? missing.what + (missing.why ? ": " + missing.why : "") : "not stated"));
      cells.push("not stated", "", "");
      return td;
    }
    var pair = told(engine, name);
    var value = pair || row.value;
    var line = make("span", "num value");
    var link = make("a", "fig fig-" + row.mark);
    link.href = home + row.origin;
    link.appendChild(figure(value.shown));
    if (row.sign) {
      var sign = make("span", "mark mark-" + row.mark, row.sign);
      sign.setAttribute("aria-hidden", "true");
      link.appendChild(sign);
    }
    link.appendChild(make("span", "hush", " (" + row.checked + ")"));
    line.appendChild(link);
    if (value.plus_minus) line.appendChild(plusMinus(value.plus_minus));
    td.appendChild(line);
    if (isShare(value.shown)) td.appendChild(bar(value.shown));
    var words = "";
    if (row.borrowed_from) {
      words = "borrowed from " + row.borrowed_from;
    } else if (engine !== chosen[0] && !pair && rowOf(chosen[0], name) && rowOf(chosen[0], name).value) {
      words = "not set against each other in this edition";
    } else if (pair && pair.relation === "same") {
      words = "= same";
    } else if (pair && pair.relation === "incomparable") {
      words = "cannot be compared: " + pair.why;
    } else if (pair && pair.difference) {
      var delta = make("span", "delta");
      delta.appendChild(figure(pair.difference.shown));
      if (pair.difference.plus_minus) delta.appendChild(plusMinus(pair.difference.plus_minus));
      if (pair.ratio && pair.relation === "apart") {
        var ratio = make("span", "ratio");
        ratio.appendChild(figure(pair.ratio.shown));
        if (pair.ratio.plus_minus) ratio.appendChild(plusMinus(pair.ratio.plus_minus));
        delta.appendChild(document.createTextNode("; "));
        delta.appendChild(ratio);
      }
      td.appendChild(delta);
      if (pair.relation === "not-told-apart") words = "not told apart";
    }
    if (words) td.appendChild(make("span", "small", words));
    if (row.source) {
      var source = make("span", "small");
      var known = make("a", "", row.source_words);
      known.href = home + row.source_address;
      source.appendChild(known);
      td.appendChild(source);
    }
    cells.push(line.querySelector(".figure").textContent, value.plus_minus ? value.plus_minus[root.getAttribute("data-units") || "written"] : "",
      engine === chosen[0] ? "reference" : (td.querySelector(".delta") || { textContent: words }).textContent);
    return td;
  }

  function head() {
    var line = make("tr");
    var corner = make("th", "", "Reading");
    corner.scope = "col";
    line.appendChild(corner);
    chosen.forEach(function (engine, at) {
      var own = data(engine);
      var th = make("th", "chosen");
      th.scope = "col";
      var link = make("a", "", own.name);
      link.href = home + own.address;
      th.appendChild(link);
      if (at === 0) {
        th.appendChild(document.createTextNode(" "));
        th.appendChild(make("span", "tag", "reference"));
      } else {
        var button = make("button", "toggle turn", "Make it the reference");
        button.type = "button";
        button.addEventListener("click", function () {
          choose([engine].concat(chosen.filter(function (name) { return name !== engine; })));
        });
        th.appendChild(button);
      }
      th.appendChild(make("span", "small", (own.family ? "family " + own.family + "; " : "") + own.specimens + "\u00a0" + (own.specimens === 1 ? "specimen" : "specimens")));
      line.appendChild(th);
    });
    return line;
  }

  /* Among many, those whose name or family has the words, and those that are chosen, which stand first. */
  var pickSieve = byId("_pick-sieve");
  if (pickSieve) pickSieve.addEventListener("input", function () {
    var words = pickSieve.value.trim().toLowerCase();
    boxes.forEach(function (box) {
      var item = box.closest("li");
      item.hidden = (item.textContent + " " + item.getAttribute("data-family")).toLowerCase().indexOf(words) < 0 && !box.checked;
    });
  });

  function quoted(field) {
    var text = /^[=+\-@\t\r]/.test(field) && isNaN(Number(field)) ? "'" + field : field;
    return /[",\n]/.test(text) ? "\"" + text.replace(/"/g, "\"\"") + "\"" : text;
  }
  var file = null;
  function offer(lines) {
    if (file) URL.revokeObjectURL(file);
    file = URL.createObjectURL(new Blob([lines.join("\r\n") + "\r\n"], { type: "text/csv" }));
    byId("_bench-file").href = file;
  }

  /* Whether they fire in the same order, as the edition has judged it. */
  function answer() {
    var told = chosen.slice(1).map(function (engine) {
      var isShown = data(engine).circuit && data(chosen[0]).circuit;
      return (data(engine).order || {})[chosen[0]]
        || (isShown && data(engine).name + " beside " + data(chosen[0]).name + ": not set against each other in this edition");
    }).filter(Boolean);
    var box = byId("_bench-answer");
    box.textContent = "";
    box.hidden = !told.length;
    box.appendChild(make("strong", "", "Do they fire in the same order?"));
    told.forEach(function (text) { box.appendChild(document.createTextNode(" " + text + ".")); });
    byId("_bench-ways").hidden = !chosen.length;
  }

  function show() {
    var lacking = chosen.filter(function (engine) { return !data(engine); });
    chosen = chosen.filter(function (engine) { return data(engine); });
    byId("_bench-figures").hidden = !chosen.length;
    while (table.tBodies.length) table.removeChild(table.tBodies[0]);
    table.tHead.textContent = "";
    window.gaugebookShots(chosen.map(data), home);
    answer();
    if (lacking.length) { status.textContent = "The data of " + lacking.join(", ") + " could not be loaded."; }
    if (!chosen.length) {
      if (!lacking.length) status.textContent = "Tick two to four engines; the first is the one that the others are set against.";
      return;
    }
    table.tHead.appendChild(head());
    var rows = shared();
    var bySize = largest.getAttribute("aria-pressed") === "true";
    if (bySize) rows.sort(function (a, b) { return factor(b.name) - factor(a.name); });
    var only = differences.getAttribute("aria-pressed") === "true";
    var words = sieve.value.trim().toLowerCase();
    function has(text) { return text.toLowerCase().indexOf(words) >= 0; }
    /* A heading is asked only where no figure's name has the word. */
    var byHeading = !rows.some(function (row) { return has(row.label); });
    var body = null;
    var label = null;
    var count = 0;
    var alike = [];
    var heads = ["group", "reading"];
    chosen.forEach(function (engine) { heads.push(data(engine).name, data(engine).name + " (±)", data(engine).name + " (to the reference)"); });
    var lines = [heads.map(quoted).join(",")];
    rows.forEach(function (row) {
      var same = agrees(row.name) && chosen.length > 1;
      if (only && same) { alike.push(row.label); return; }
      if (words && !has(byHeading ? row.group : row.label)) return;
      if (!body || (!bySize && label !== row.group)) {
        label = row.group;
        body = make("tbody");
        if (!bySize) {
          var group = make("tr", "group");
          var name = make("th", "", label);
          name.scope = "rowgroup";
          name.colSpan = chosen.length + 1;
          group.appendChild(name);
          body.appendChild(group);
        }
        table.appendChild(body);
      }
      var line = make("tr", same ? "same" : "");
      var th = make("th");
      th.scope = "row";
      th.appendChild(make("span", "name", row.label));
      if (row.setting) th.append(" ", make("span", "tag", "setting"));
      line.appendChild(th);
      var cells = [row.group, row.label];
      chosen.forEach(function (engine) { line.appendChild(cell(engine, row.name, cells)); });
      body.appendChild(line);
      lines.push(cells.map(quoted).join(","));
      count += 1;
    });
    folded.hidden = !alike.length;
    folded.textContent = "Left out, the same or not told apart: " + alike.join(", ") + ".";
    offer(lines);
    var figures = count + (count === 1 ? " figure" : " figures");
    if (!lacking.length) status.textContent = chosen.length === 1 ? figures + "; tick another engine to compare." : figures + " that at least two of them state.";
  }

  function toggled(button) {
    button.addEventListener("click", function () {
      button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true"));
      show();
    });
  }
  Array.prototype.forEach.call(document.querySelectorAll("[data-goes]"), function (button) {
    button.addEventListener("click", function () {
      var head = byId(button.getAttribute("data-goes"));
      if (head.getClientRects().length) head.scrollIntoView();
    });
  });
  toggled(differences);
  toggled(largest);
  sieve.addEventListener("input", show);
  boxes.forEach(function (box) {
    box.addEventListener("change", function () {
      choose(box.checked ? chosen.concat([box.value]) : chosen.filter(function (name) { return name !== box.value; }));
    });
  });
  window.addEventListener("hashchange", function () { choose(fromAddress()); });
  choose(fromAddress());
})();
