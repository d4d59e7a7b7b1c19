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
    var poses = (window.gaugebookPoses || {})[engine.engine] || [];
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
  function column(engine, poses) {
    var made = make("figure", "picture moment");
    made.appendChild(make("figcaption", "", engine.name));
    var list = make("div", "poses");
    list.tabIndex = 0;
    list.setAttribute("role", "group");
    list.setAttribute("aria-label", "Section of " + engine.name);
    poses.forEach(function (pose) {
      var shown = make("div", "pose");
      var picture = new DOMParser().parseFromString(pose.picture, "image/svg+xml").documentElement;
      shown.appendChild(document.importNode(picture, true));
      list.appendChild(shown);
    });
    made.appendChild(list);
    var said = make("p", "small");
    made.appendChild(said);
    return { engine: engine, poses: poses, figure: made, list: list, said: said };
  }
  function fillPoses() {
    box.textContent = "";
    columns = [];
    engines.forEach(function (engine) {
      var poses = (window.gaugebookPoses || {})[engine.engine];
      if (!poses) return;
      columns.push(column(engine, poses));
      box.appendChild(columns[columns.length - 1].figure);
    });
    fillTable();
    byId("_bench-scrub").hidden = caption.hidden = !columns.length;
    slider.max = milestones.length;
    show(Math.min(moment, milestones.length));
  }

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
      var told = pose + ". " + column.poses[pose].words;
      column.said.textContent = !moment || own ? told : "not in its shot; still at " + told;
    });
  }
  slider.addEventListener("input", function () { show(Number(slider.value)); });
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
      if (!engine.circuit || (window.gaugebookPoses || {})[engine.engine]) return arrived();
      return window.gaugebookLoad(home + "data/bench/" + engine.engine + "-shot.js", arrived, arrived);
    });
  };
})();
