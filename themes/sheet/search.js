/* Search without a server: the index is a script that assigns to one global and is loaded when a
   reader first needs it. Words, headings, synonyms, one slip of the finger, number with unit. */
(function (global) {
  "use strict";

  /* ---- Words: the same rules as in the program; one table of examples holds both. ---- */
  var WORD_CHARACTER = /[\p{Alphabetic}\p{N}]/u;
  function isDigit(character) {
    return character >= "0" && character <= "9";
  }
  function tokens(text) {
    var plain = text.replace(/²/g, "2").replace(/³/g, "3").replace(/µ/g, "μ").toLowerCase();
    var characters = Array.from(plain);
    var words = [];
    var word = "";
    for (var i = 0; i < characters.length; i++) {
      var character = characters[i];
      var insideNumber = (character === "." || character === ",") && word !== "" &&
        isDigit(word.charAt(word.length - 1)) && i + 1 < characters.length && isDigit(characters[i + 1]);
      if (insideNumber || WORD_CHARACTER.test(character)) {
        word += character;
      } else if (word !== "") {
        words.push(word);
        word = "";
      }
    }
    if (word !== "") words.push(word);
    return words;
  }

  /* ---- Unpacking ---- */
  var DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
  function unpackWords(coded) {
    var words = [];
    var before = [];
    coded.replace(/([A-Z])([^A-Z]*)/g, function (whole, shared, rest) {
      var word = before.slice(0, shared.charCodeAt(0) - 65).join("") + rest;
      before = Array.from(word);
      words.push(word);
      return "";
    });
    return words;
  }
  function unpackPosts(coded) {
    var posts = [];
    var page = -1;
    var number = 0;
    var place = 1;
    for (var i = 0; i < coded.length; i++) {
      var digit = DIGITS.indexOf(coded.charAt(i));
      number += (digit % 32) * place;
      if (digit >= 32) {
        place *= 32;
        continue;
      }
      page += Math.floor(number / 4) + 1;
      posts.push([page, number % 4]);
      number = 0;
      place = 1;
    }
    return posts;
  }

  /* ---- One slip: a letter wrong, missing, doubled, or two swapped ---- */
  function oneSlip(a, b) {
    if (Math.abs(a.length - b.length) > 1 || a === b) return a === b;
    var start = 0;
    while (start < a.length && a.charAt(start) === b.charAt(start)) start++;
    var endA = a.length;
    var endB = b.length;
    while (endA > start && endB > start && a.charAt(endA - 1) === b.charAt(endB - 1)) {
      endA--;
      endB--;
    }
    var restA = endA - start;
    var restB = endB - start;
    if (restA <= 1 && restB <= 1) return true;
    return restA === 2 && restB === 2 && a.charAt(start) === b.charAt(start + 1) && a.charAt(start + 1) === b.charAt(start);
  }

  /* ---- Number with unit ---- */
  var NUMBER = /(?:(\d+)[\s-]+)?(\d+)[\/⁄](\d+)|\d+(?:[.,]\d+)*|[.,]\d+/g;
  function readNumber(match) {
    if (match[3] !== undefined) {
      var whole = match[1] === undefined ? 0 : Number(match[1]);
      return { value: whole + Number(match[2]) / Number(match[3]), half: 1 / 256 };
    }
    var text = match[0];
    if (/^\d{1,3}(,\d{3})+(\.\d+)?$/.test(text)) text = text.replace(/,/g, "");
    else text = text.replace(",", ".");
    var point = text.indexOf(".");
    var decimals = point < 0 ? 0 : text.length - point - 1;
    return { value: Number(text), half: 0.5 * Math.pow(10, -decimals) };
  }
  function readQuantities(query, units) {
    var found = [];
    var rest = query;
    NUMBER.lastIndex = 0;
    for (var match = NUMBER.exec(query); match; match = NUMBER.exec(query)) {
      var after = query.slice(match.index + match[0].length);
      var word = /^[\s\u00a0\u2009\u202f]*([^\s\u00a0\d,;][^\s\u00a0,;]*)/.exec(after);
      var number = readNumber(match);
      if (!word || !isFinite(number.value)) continue;
      var unit = units[word[1]] || units[word[1].replace(/[.)\]]+$/, "")] || units[word[1].toLowerCase()];
      if (!unit) continue;
      found.push({
        text: match[0] + "\u00a0" + unit[0],
        dimension: unit[1],
        value: number.value * unit[2] + unit[3],
        half: number.half * unit[2]
      });
      rest = rest.replace(match[0] + word[0], " ");
    }
    return { found: found, rest: rest };
  }

  /* ---- Searching ---- */
  var FIELD = [1, 1.6, 4, 8];
  var FOR_WRITERS = new Set(["Fault", "Method", "For writers"]);
  function open(index) {
    var words = unpackWords(index.words);
    var packed = index.posts === "" ? [] : index.posts.split(" ");
    var numbers = new Map();
    words.forEach(function (word, at) { numbers.set(word, at); });
    var stop = new Set(index.stop.split(" "));
    var units = Object.create(null);
    index.units.forEach(function (unit) { units[unit[0]] = unit; });
    var synonyms = index.synonyms.map(function (group) { return group.map(tokens); });
    var headings = index.heads.map(function (flat, page) {
      var list = [];
      for (var i = 0; i < flat.length; i += 2) list.push({ anchor: flat[i], text: flat[i + 1], words: tokens(flat[i + 1]) });
      return list;
    });
    /* Figures by page, for finding them by name. */
    var named = index.pages.map(function () { return []; });
    Object.keys(index.figures).forEach(function (dimension) {
      var flat = index.figures[dimension];
      for (var i = 0; i < flat.length; i += 3) {
        var place = index.places[flat[i + 2]];
        if (place[0] !== "" && place[1] !== "") named[flat[i + 1]].push({ anchor: place[0], text: place[1], words: tokens(place[1]) });
      }
    });
    /* The plainest name first: "operating pressure" before "pressure in the store when it stalls". */
    named.forEach(function (figures) { figures.sort(function (a, b) { return a.words.length - b.words.length; }); });
    var titles = index.pages.map(function (page) { return tokens(page[0]); });
    var engines = [];
    index.pages.forEach(function (page, at) {
      if (page[3] !== "") engines.push({ page: at, name: page[3], title: page[0].split(":")[0], words: tokens(page[3].replace(/_/g, " ")) });
    });
    engines.sort(function (a, b) { return b.words.length - a.words.length; });
    var cache = new Map();

    function posts(at) {
      if (!cache.has(at)) cache.set(at, unpackPosts(packed[at]));
      return cache.get(at);
    }

    /* Words of the index that a typed word may mean, with how likely. */
    function variants(word) {
      var list = [];
      var exact = numbers.get(word);
      if (exact !== undefined) list.push([exact, 1]);
      var length = word.length;
      var numeric = /\d/.test(word);
      for (var at = 0; at < words.length; at++) {
        if (at === exact) continue;
        var candidate = words[at];
        if (length >= 2 && candidate.length > length && candidate.startsWith(word)) {
          list.push([at, 0.35 + 0.4 * length / candidate.length]);
        } else if (length >= 4 && !numeric && exact === undefined && oneSlip(word, candidate)) {
          list.push([at, 0.45]);
        }
      }
      return list;
    }

    function scoreWord(word) {
      var scores = new Map();
      variants(word).forEach(function (variant) {
        var list = posts(variant[0]);
        var rarity = Math.log(1 + index.pages.length / list.length);
        list.forEach(function (post) {
          var score = variant[1] * FIELD[post[1]] * rarity;
          if (score > (scores.get(post[0]) || 0)) scores.set(post[0], score);
        });
      });
      return scores;
    }

    /* All words of a phrase must stand on the page. */
    function scorePhrase(phrase) {
      var kept = phrase.filter(function (word) { return !stop.has(word); });
      if (kept.length === 0) return new Map();
      var all = kept.map(scoreWord);
      var scores = new Map();
      all[0].forEach(function (score, page) {
        var least = score;
        for (var i = 1; i < all.length; i++) least = Math.min(least, all[i].get(page) || 0);
        if (least > 0) scores.set(page, least);
      });
      return scores;
    }

    /* The query as slots, each with its alternatives: longest known phrase first. */
    function slots(query) {
      var list = [];
      for (var at = 0; at < query.length;) {
        var best = null;
        synonyms.forEach(function (group) {
          group.forEach(function (phrase) {
            var fits = phrase.length > 0 && phrase.every(function (word, i) { return query[at + i] === word; });
            if (fits && (!best || phrase.length > best.phrase.length)) best = { phrase: phrase, group: group };
          });
        });
        if (best) {
          list.push({ phrases: [best.phrase].concat(best.group.filter(function (other) { return other !== best.phrase; })) });
          at += best.phrase.length;
        } else {
          if (!stop.has(query[at])) list.push({ phrases: [[query[at]]] });
          at++;
        }
      }
      return list;
    }

    function scoreSlot(slot) {
      var scores = new Map();
      slot.phrases.forEach(function (phrase, which) {
        scorePhrase(phrase).forEach(function (score, page) {
          var weighed = which === 0 ? score : score * 0.8;
          if (weighed > (scores.get(page) || 0)) scores.set(page, weighed);
        });
      });
      return scores;
    }

    function figuresNear(quantity, share) {
      var flat = index.figures[quantity.dimension] || [];
      var hits = [];
      var reach = share === undefined ? quantity.half * (1 + 1e-9) + Math.abs(quantity.value) * 1e-5 : Math.abs(quantity.value) * share;
      for (var i = 0; i < flat.length; i += 3) {
        var distance = Math.abs(flat[i] - quantity.value);
        if (distance <= reach) hits.push({ page: flat[i + 1], place: index.places[flat[i + 2]], distance: distance });
      }
      return hits;
    }
    function scoreQuantity(quantity) {
      var hits = figuresNear(quantity);
      if (hits.length === 0) hits = figuresNear(quantity, 0.02);
      var scores = new Map();
      hits.forEach(function (hit) {
        var closeness = 1 - 0.5 * Math.min(1, hit.distance / (Math.abs(quantity.value) * 0.02 || 1));
        var known = scores.get(hit.page) || { score: 0, places: [] };
        known.score = Math.max(known.score, 12 * closeness);
        /* A figure of the running text has no row to go to: it is told as it stands there. */
        if (known.places.length < 4) known.places.push({ anchor: hit.place[0], text: hit.place[1] || quantity.text });
        scores.set(hit.page, known);
      });
      return scores;
    }

    /* Whether a heading or name has every typed word, if need be with one slip. */
    function covers(words, typed) {
      var asked = typed.filter(function (word) { return !stop.has(word); });
      return asked.length > 0 && asked.every(function (word) {
        return words.some(function (other) {
          return other.startsWith(word) || (word.length >= 4 && oneSlip(word, other));
        });
      });
    }

    function same(a, b) {
      return a.length === b.length && a.every(function (word, i) { return word === b[i]; });
    }

    /* Whether a heading or a figure of a page is asked for, the page by its own name if need be. */
    function namesPlace(words, title, typed) {
      return covers(words.concat(title), typed) && typed.some(function (word) {
        return !stop.has(word) && !covers(title, [word]) && covers(words, [word]);
      });
    }

    /* Two to four engines in one question stand beside each other on the bench; what else was typed
       names figures of theirs, those first that most of them have. */
    function besides(typed) {
      var left = typed.slice();
      var asked = [];
      engines.forEach(function (engine) {
        var at = left.findIndex(function (_, at) { return engine.words.every(function (word, i) { return left[at + i] === word; }); });
        if (at < 0) return;
        engine.words.forEach(function (_, i) { left[at + i] = ""; });
        asked.push({ at: at, engine: engine });
      });
      if (asked.length < 2 || asked.length > 4) return null;
      asked.sort(function (a, b) { return a.at - b.at; });
      var rows = new Map();
      asked.forEach(function (one) {
        named[one.engine.page].forEach(function (figure) {
          if (!left.some(function (word) { return word !== "" && covers(figure.words, [word]); })) return;
          var place = { address: index.pages[one.engine.page][1], anchor: figure.anchor, text: one.engine.title + ": " + figure.text };
          rows.set(figure.anchor, (rows.get(figure.anchor) || []).concat([place]));
        });
      });
      var places = Array.from(rows.values()).sort(function (a, b) { return b.length - a.length; });
      return {
        title: asked.map(function (one) { return one.engine.title; }).join(" beside "),
        address: "bench.html#e=" + asked.map(function (one) { return one.engine.name; }).join(","),
        words: [].concat.apply([], asked.map(function (one) { return one.engine.words; })),
        kind: "Bench", forWriters: false, places: [].concat.apply([], places.slice(0, 3))
      };
    }

    /* Pages, best first: { title, address, kind, places: [{ address, anchor, text }] }. */
    function find(query) {
      var quantities = readQuantities(query, units);
      var typed = tokens(quantities.rest);
      var parts = slots(typed).map(scoreSlot);
      var measured = quantities.found.map(scoreQuantity);
      var count = parts.length + measured.length;
      if (count === 0) return [];
      var pages = new Map();
      function note(page, score, places) {
        var entry = pages.get(page) || { score: 0, hits: 0, places: [] };
        entry.score += score;
        entry.hits++;
        entry.places = entry.places.concat(places);
        pages.set(page, entry);
      }
      parts.forEach(function (scores) {
        scores.forEach(function (score, page) { note(page, score, []); });
      });
      measured.forEach(function (scores) {
        scores.forEach(function (known, page) { note(page, known.score, known.places); });
      });
      var whole = tokens(query);
      var list = [];
      pages.forEach(function (entry, page) {
        var score = entry.score;
        if (same(titles[page], whole)) score += 200;
        else if (covers(titles[page], typed)) score += 12;
        var places = entry.places;
        headings[page].forEach(function (heading) {
          if (same(heading.words, whole)) {
            score += 100;
            places = [heading].concat(places);
          } else if (namesPlace(heading.words, titles[page], typed)) {
            score += 6;
            places = places.concat([heading]);
          }
        });
        named[page].forEach(function (figure) {
          if (!namesPlace(figure.words, titles[page], typed)) return;
          if (measured.length === 0) score += 4;
          places = places.concat([figure]);
        });
        list.push({ page: page, score: score, hits: entry.hits, places: places });
      });
      var most = Math.max.apply(null, list.map(function (entry) { return entry.hits; }).concat([0]));
      var beside = besides(typed);
      var found = list
        .filter(function (entry) { return entry.hits === most || entry.score >= 100; })
        .sort(function (a, b) { return b.score - a.score || a.page - b.page; })
        .map(function (entry) {
          var page = index.pages[entry.page];
          var seen = new Set();
          var rows = entry.places.filter(function (place) { return place.anchor; });
          var places = (rows.length > 0 ? rows : entry.places).filter(function (place) {
            var is = place.anchor || place.text;
            if (seen.has(is)) return false;
            seen.add(is);
            return true;
          });
          return {
            title: page[0], address: page[1], kind: page[2],
            /* What is for writers stands behind what is for readers, unless it is asked for by name. */
            forWriters: FOR_WRITERS.has(page[2]) && !same(titles[entry.page], whole),
            places: places.slice(0, 4).map(function (place) { return { address: page[1], anchor: place.anchor, text: place.text }; })
          };
        });
      if (beside) {
        /* A page that compares just these is worth a look, whatever else was typed. */
        index.pages.forEach(function (page, at) {
          var isThere = found.some(function (result) { return result.address === page[1]; });
          if (isThere || page[2] !== "Comparison" || !covers(titles[at], beside.words)) return;
          found.unshift({ title: page[0], address: page[1], kind: page[2], forWriters: false, places: [] });
        });
        found.splice(found.length > 0 && found[0].kind === "Comparison" ? 1 : 0, 0, beside);
      }
      return found;
    }
    return { find: find };
  }

  global.gaugebookSearch = { tokens: tokens, open: open };
  if (typeof document === "undefined") return;

  /* ---- The page ---- */
  var root = document.documentElement.getAttribute("data-root") || "";
  var input = document.getElementById("_find-words");
  var box = document.getElementById("_find-results");
  var status = document.getElementById("_find-status");
  var pageBox = document.getElementById("_page-results");
  var pageSection = document.getElementById("_search-page");
  if (!input || !box || !status) return;
  var engine = null;
  var waiting = [];
  var failed = false;

  /* Loading a second script is the one way to bring data in from a file. */
  function whenReady(then) {
    if (engine || failed) return then();
    waiting.push(then);
    if (waiting.length > 1) return undefined;
    var script = document.createElement("script");
    function done() {
      if (global.gaugebookIndex) engine = open(global.gaugebookIndex);
      else failed = true;
      waiting.splice(0).forEach(function (next) { next(); });
    }
    script.onload = done;
    script.onerror = done;
    script.src = root + "search-index.js";
    document.head.appendChild(script);
    return undefined;
  }

  function element(name, className, text) {
    var made = document.createElement(name);
    if (className) made.className = className;
    if (text) made.textContent = text;
    return made;
  }
  function link(address, text) {
    var made = element("a", "", text);
    made.setAttribute("href", root + address);
    return made;
  }
  function show(into, results, limit) {
    into.textContent = "";
    var readers = results.filter(function (result) { return !result.forWriters; });
    var writers = results.filter(function (result) { return result.forWriters; });
    list(into, readers.slice(0, limit));
    if (writers.length === 0 || readers.length >= limit) return;
    into.appendChild(element("p", "found-count", "For those who write pages"));
    list(into, writers.slice(0, limit - readers.length));
  }
  function list(into, results) {
    var list = element("ul", "found");
    results.forEach(function (result) {
      var item = element("li");
      item.appendChild(link(result.address, result.title));
      item.appendChild(document.createTextNode(" "));
      if (result.kind) item.appendChild(element("span", "tag", result.kind));
      if (result.places.length > 0) {
        var places = element("ul");
        result.places.forEach(function (place) {
          var line = element("li");
          line.appendChild(place.anchor ? link(place.address + "#" + place.anchor, place.text) : element("span", "", place.text + " in its text"));
          places.appendChild(line);
        });
        item.appendChild(places);
      }
      list.appendChild(item);
    });
    if (results.length > 0) into.appendChild(list);
  }
  function count(results, limit) {
    if (failed) return "The search index could not be loaded.";
    if (results.length === 0) return "Nothing found. Try fewer words, or a number with its unit.";
    var words = results.length === 1 ? "1 sheet found" : results.length + " sheets found";
    return results.length > limit ? words + ", the best " + limit + " are shown." : words + ".";
  }

  function close() {
    box.hidden = true;
    box.textContent = "";
  }
  function search() {
    var query = input.value.trim();
    if (query === "") {
      close();
      status.textContent = "";
      return;
    }
    whenReady(function () {
      if (input.value.trim() !== query) return;
      var results = engine ? engine.find(query) : [];
      var into = pageBox || box;
      var limit = pageBox ? 50 : 8;
      show(into, results, limit);
      into.insertBefore(element("p", "found-count", count(results, limit)), into.firstChild);
      status.textContent = count(results, limit);
      if (pageBox) pageSection.hidden = false;
      else box.hidden = false;
    });
  }

  var form = input.form;
  input.addEventListener("input", search);
  input.addEventListener("focus", function () { whenReady(function () {}); });
  form.addEventListener("keydown", function (event) {
    if (event.key !== "Escape" || box.hidden) return;
    close();
    input.focus();
    event.preventDefault();
  });
  form.addEventListener("focusout", function (event) {
    if (event.relatedTarget && !form.contains(event.relatedTarget)) close();
  });
  document.addEventListener("click", function (event) {
    if (!form.contains(event.target)) close();
  });
  if (pageBox) {
    form.addEventListener("submit", function (event) {
      event.preventDefault();
      search();
    });
    var asked = /[?&]q=([^&]*)/.exec(global.location.search);
    if (asked) {
      try {
        input.value = decodeURIComponent(asked[1].replace(/\+/g, " "));
      } catch (malformed) {
        input.value = asked[1];
      }
      search();
    }
  }
})(typeof window === "undefined" ? globalThis : window);
