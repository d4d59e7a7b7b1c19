/* The shots of the engines on the bench, side by side: what brings each milestone about, and a slider
   that takes the pictures of all to the same milestone. The pictures of an engine are a script of
   their own, loaded when it is chosen. */
(function () {
  "use strict";
  function byId(id) { return document.getElementById(id); }
  var section = byId("_bench-shots");
  if (!section) return;
  var slider = byId("_bench-at");
  var caption = byId("_bench-milestone");
  var box = byId("_bench-poses");
  var table = byId("_bench-milestones");
  var circuits = byId("_bench-circuits");
  var oneScale = byId("_bench-one-scale");
  var bare = byId("_bench-bare");
  var engines = [];
  var milestones = [];
  var columns = [];
  var moment = 0;

  function make(name, className, text) {
    var made = document.createElement(name);
    if (className) made.className = className;
    if (text !== undefined) made.textContent = text;
    return made;
  }
  window.gaugebookLoad = function (address, then, failed) {
    var script = document.createElement("script");
    script.onload = then;
    script.onerror = failed;
    script.src = address;
    document.head.appendChild(script);
  };

  function shotOf(engine) { return (window.gaugebookPoses || {})[engine.engine]; }
  /* Those of the reference in its order, then those that only others reach. */
  function inOrder() {
    var found = [];
    engines.forEach(function (engine) {
      engine.milestones.forEach(function (reached) {
        if (found.indexOf(reached.milestone) < 0) found.push(reached.milestone);
      });
    });
    return found;
  }
  function reached(engine, milestone) {
    return engine.milestones.filter(function (it) { return it.milestone === milestone; })[0];
  }

  /* What an engine does between a milestone and the one before it in its own run. */
  function before(engine, it) {
    var poses = (shotOf(engine) || { poses: [] }).poses;
    var last = 0;
    engine.milestones.forEach(function (other) { if (other.pose < it.pose) last = Math.max(last, other.pose); });
    return poses.slice(last + 1, it.pose).map(function (pose, at) { return last + 1 + at + ". " + pose.words; }).join("; ");
  }

  function row(words) {
    var line = make("tr");
    words.forEach(function (word) {
      var th = make("th", "", word);
      th.scope = "col";
      line.appendChild(th);
    });
    return line;
  }
  function fillTable() {
    table.tHead.textContent = table.tBodies[0].textContent = "";
    table.tHead.appendChild(row(["Milestone"].concat(engines.map(function (engine) { return engine.name; }))));
    milestones.forEach(function (milestone, at) {
      var line = make("tr");
      var th = make("th");
      th.scope = "row";
      var jump = make("button", "jump", milestone);
      jump.type = "button";
      jump.addEventListener("click", function () { show(at + 1); });
      th.appendChild(jump);
      line.appendChild(th);
      engines.forEach(function (engine) {
        var it = reached(engine, milestone);
        var td = make("td");
        td.setAttribute("data-label", engine.name);
        td.appendChild(it ? document.createTextNode(it.pose + ". " + it.words)
          : make("span", "none", engine.milestones.length ? "not in its shot" : "no cutaway"));
        var since = it ? before(engine, it) : "";
        if (since) td.appendChild(make("span", "small between", "before it: " + since));
        line.appendChild(td);
      });
      table.tBodies[0].appendChild(line);
    });
  }
  function fillCircuits(home) {
    circuits.textContent = "";
    engines.forEach(function (engine) {
      if (!engine.circuit) return;
      var figure = make("figure", "picture");
      var picture = make("img", "circuit");
      picture.alt = "Circuit of " + engine.name + " at rest";
      picture.src = home + engine.circuit;
      figure.appendChild(picture);
      figure.appendChild(make("figcaption", "", engine.name));
      circuits.appendChild(figure);
    });
  }

  /* A column a shot: all its pictures, for the later ones refer to the earlier, and one of them in sight. */
  function column(engine, shot) {
    var made = make("figure", "picture moment");
    var head = made.appendChild(make("figcaption", "", engine.name + " "));
    if (!shot.scale) head.appendChild(make("span", "tag", "not to scale"));
    var list = make("div", "poses");
    list.tabIndex = 0;
    list.setAttribute("role", "group");
    list.setAttribute("aria-label", "Section of " + engine.name);
    shot.poses.forEach(function (pose) {
      var shown = make("div", "pose");
      var picture = new DOMParser().parseFromString(pose.picture, "image/svg+xml").documentElement;
      shown.appendChild(document.importNode(picture, true));
      list.appendChild(shown);
    });
    made.appendChild(list);
    var said = make("p", "small");
    made.appendChild(said);
    return { engine: engine, poses: shot.poses, scale: shot.scale, figure: made, list: list, said: said, at: -1 };
  }
  function fillPoses() {
    box.textContent = "";
    columns = [];
    engines.forEach(function (engine) {
      var shot = shotOf(engine);
      if (!shot) return;
      columns.push(column(engine, shot));
      box.appendChild(columns[columns.length - 1].figure);
    });
    fillTable();
    byId("_bench-scrub").hidden = byId("_bench-looks").hidden = !columns.length;
    slider.max = milestones.length;
    fit();
    show(Math.min(moment, milestones.length));
  }

  /* What is to scale is at one scale, as large as lets the longest fit, but with letters that can be
     read; what has made-up sizes stays at its own. */
  var READABLE = 0.9;
  function names(some) { return some.map(function (column) { return column.engine.name; }).join(", "); }
  function pressed(button) { return button.getAttribute("aria-pressed") === "true"; }
  function unitsWide(column) { return column.list.querySelector("svg").viewBox.baseVal.width; }
  function fit() {
    var isBare = pressed(bare);
    box.classList.toggle("bare", isBare);
    var scaled = columns.filter(function (column) { return column.scale; });
    var own = columns.filter(function (column) { return !column.scale; });
    oneScale.hidden = scaled.length < 2;
    var isOne = scaled.length > 1 && pressed(oneScale);
    var perMillimetre = scaled.reduce(function (least, column) {
      return Math.min(least, column.list.clientWidth * column.scale / unitsWide(column));
    }, Infinity);
    if (!isBare) {
      perMillimetre = scaled.reduce(function (most, column) { return Math.max(most, READABLE * column.scale); }, perMillimetre);
    }
    columns.forEach(function (column) {
      Array.prototype.forEach.call(column.list.querySelectorAll(".pose > svg"), function (svg) {
        svg.style.width = isOne && column.scale ? Math.round(unitsWide(column) / column.scale * perMillimetre) + "px" : "";
        svg.style.maxWidth = isOne && column.scale ? "none" : "";
      });
    });
    byId("_bench-scales").textContent = (isOne ? "At one scale: " + names(scaled) + ". "
      : scaled.length > 1 ? "Each at a scale of its own. " : "") + (own.length ? "Sizes made up, not to scale: " + names(own) + "." : "");
  }
  function pan(column, pose) {
    if (column.at === pose) return;
    var pictures = column.list.querySelectorAll(".pose > svg");
    window.gaugebookPan(column.list, pictures[pose], pose > 0 && pictures[Math.max(0, column.at)]);
    column.at = pose;
  }
  [oneScale, bare].forEach(function (button) {
    button.addEventListener("click", function () {
      button.setAttribute("aria-pressed", String(!pressed(button)));
      fit();
    });
  });
  window.addEventListener("resize", function () { if (columns.length) fit(); });

  /* Moment 0 is the rest; an engine that does not reach a milestone waits at the last that it reached. */
  function show(at) {
    moment = Math.max(0, Math.min(milestones.length, at));
    slider.value = moment;
    var words = moment ? milestones[moment - 1] : "at rest";
    slider.setAttribute("aria-valuetext", words);
    caption.textContent = words;
    Array.prototype.forEach.call(table.tBodies[0].rows, function (line, number) {
      if (number + 1 === moment) line.setAttribute("aria-current", "step");
      else line.removeAttribute("aria-current");
    });
    columns.forEach(function (column) {
      var own = moment && reached(column.engine, words);
      var pose = 0;
      milestones.slice(0, moment).forEach(function (milestone) {
        var it = reached(column.engine, milestone);
        if (it) pose = it.pose;
      });
      Array.prototype.forEach.call(column.list.children, function (shown, number) {
        shown.classList.toggle("shown", number === pose);
      });
      pan(column, pose);
      var told = pose + ". " + column.poses[pose].words;
      column.said.textContent = !moment || own ? told : "not in its shot; still at " + told;
    });
  }
  window.gaugebookSlide(slider, show);
  var between = byId("_bench-between");
  between.addEventListener("click", function () {
    between.setAttribute("aria-pressed", String(table.classList.toggle("with-between")));
  });
  byId("_bench-back").addEventListener("click", function () { show(moment - 1); });
  byId("_bench-on").addEventListener("click", function () { show(moment + 1); });

  /* Shows the shots of the chosen engines, the first of which is the reference. */
  window.gaugebookShots = function (chosen, home) {
    engines = chosen;
    milestones = inOrder();
    section.hidden = !milestones.length;
    fillCircuits(home);
    var waiting = engines.length;
    var arrived = function () { waiting -= 1; if (!waiting && engines === chosen) fillPoses(); };
    if (!waiting) fillPoses();
    engines.forEach(function (engine) {
      if (!engine.circuit || shotOf(engine)) return arrived();
      return window.gaugebookLoad(home + "data/bench/" + engine.engine + "-shot.js", arrived, arrived);
    });
  };
})();
