// What the checks use inside a page: names of elements, colours as they are seen, sizes as a finger meets them.

window.look = (() => {
  /** A short name that a person can find in the source. */
  function name(element) {
    const parts = [];
    for (let at = element; at && at !== document.body && parts.length < 3; at = at.parentElement) {
      if (at.id) {
        parts.unshift(`${at.localName}#${at.id}`);
        break;
      }
      const kind = typeof at.className === "string" ? at.className : (at.getAttribute("class") ?? "");
      parts.unshift(at.localName + kind.trim().split(/\s+/).filter(Boolean).map((one) => `.${one}`).join(""));
    }
    const words = (element.getAttribute("aria-label") ?? element.textContent ?? "").replace(/\s+/g, " ").trim();
    return `${parts.join(" > ")}${words ? ` “${words.slice(0, 50)}”` : ""}`;
  }

  /** Whether a person sees it. */
  function seen(element) {
    if (!element.checkVisibility({ opacityProperty: true, visibilityProperty: true, contentVisibilityAuto: true })) return false;
    const box = element.getBoundingClientRect();
    if (box.width < 2 && box.height < 2) return false;
    // Words for those who listen are clipped to nothing, and the way past the navigation waits outside.
    for (let at = element; at; at = at.parentElement) {
      if (getComputedStyle(at).clipPath.startsWith("inset(50%")) return false;
    }
    return box.right > 0 && box.bottom + scrollY > 0;
  }

  /** A computed colour as [red, green, blue, opacity], 0 to 255 and 0 to 1. */
  function colour(text) {
    const plain = /^rgba?\(([\d.]+),? ([\d.]+),? ([\d.]+)(?:,? ?\/? ?([\d.]+))?\)$/.exec(text);
    if (plain) return [Number(plain[1]), Number(plain[2]), Number(plain[3]), plain[4] === undefined ? 1 : Number(plain[4])];
    const srgb = /^color\(srgb ([\d.e-]+) ([\d.e-]+) ([\d.e-]+)(?: \/ ([\d.e-]+))?\)$/.exec(text);
    if (srgb) return [255 * srgb[1], 255 * srgb[2], 255 * srgb[3], srgb[4] === undefined ? 1 : Number(srgb[4])];
    return null;
  }

  /** One colour over another. */
  function over([r, g, b, a], [R, G, B]) {
    return [r * a + R * (1 - a), g * a + G * (1 - a), b * a + B * (1 - a), 1];
  }

  /** The ground that an element stands on, itself among it. */
  function ground(element) {
    const layers = [];
    for (let at = element; at; at = at.parentElement) {
      const paint = colour(getComputedStyle(at).backgroundColor);
      if (paint && paint[3] > 0) layers.push(paint);
      if (paint && paint[3] === 1) break;
    }
    // What the browser itself paints below all: white, or nearly black where the page asked for a dark scheme.
    const dark = getComputedStyle(document.documentElement).colorScheme === "dark";
    return layers.reverse().reduce((under, layer) => over(layer, under), dark ? [18, 18, 18, 1] : [255, 255, 255, 1]);
  }

  /** Contrast of two colours by WCAG 2.2. */
  function contrast(a, b) {
    const light = ([r, g, b]) => {
      const [x, y, z] = [r, g, b].map((c) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4));
      return 0.2126 * x + 0.7152 * y + 0.0722 * z;
    };
    const [one, two] = [light(a), light(b)];
    return (Math.max(one, two) + 0.05) / (Math.min(one, two) + 0.05);
  }

  /** How far an element and what it is in let the ground through. */
  function opacity(element) {
    let all = 1;
    for (let at = element; at; at = at.parentElement) all *= Number(getComputedStyle(at).opacity);
    return all;
  }

  /** Text with less contrast than `least`: what it is and how much it has. */
  function faint(least) {
    const found = [];
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const done = new Set();
    while (texts.nextNode()) {
      const element = texts.currentNode.parentElement;
      if (!texts.currentNode.data.trim() || done.has(element)) continue;
      done.add(element);
      if (["SCRIPT", "STYLE", "NOSCRIPT"].includes(element.tagName) || !seen(element)) continue;
      if (["title", "desc"].includes(element.localName)) continue;
      const style = getComputedStyle(element);
      const drawn = element instanceof SVGElement;
      const paint = colour(drawn ? style.fill : style.color);
      const under = ground(drawn ? element.ownerSVGElement.parentElement : element);
      if (!paint) {
        found.push(`${name(element)}: colour ${drawn ? style.fill : style.color} is not understood`);
        continue;
      }
      const ink = over([...paint.slice(0, 3), paint[3] * opacity(element)], under);
      const ratio = contrast(ink, under);
      if (ratio < least) found.push(`${name(element)}: ${ratio.toFixed(2)}`);
    }
    for (const field of document.querySelectorAll("input:not([type=hidden],[type=checkbox],[type=radio]),select,textarea")) {
      if (!seen(field)) continue;
      const ratio = contrast(colour(getComputedStyle(field).color), ground(field));
      if (ratio < least) found.push(`${name(field)}: what is typed ${ratio.toFixed(2)}`);
    }
    return found;
  }

  /** Controls whose edge, or whose own ground, is not told from what is around them. */
  function edgeless(least) {
    const found = [];
    // Boxes and dots are the browser's own, in the page's colour scheme; so is the button of a file field.
    const controls = "input:not([type=hidden],[type=checkbox],[type=radio],[type=file]),select,textarea,button,.button";
    for (const control of document.querySelectorAll(controls)) {
      if (!seen(control)) continue;
      const style = getComputedStyle(control);
      const around = ground(control.parentElement);
      const edges = ["Top", "Right", "Bottom", "Left"].map((side) => {
        const width = parseFloat(style[`border${side}Width`]);
        const paint = colour(style[`border${side}Color`]);
        return width > 0 && style[`border${side}Style`] !== "none" && paint ? contrast(over(paint, around), around) : 1;
      });
      const best = Math.max(Math.min(...edges), contrast(ground(control), around));
      if (best < least) found.push(`${name(control)}: ${best.toFixed(2)}`);
    }
    return found;
  }

  const TARGETS = "a[href],button,input:not([type=hidden]),select,textarea,summary,[tabindex]:not([tabindex='-1'],[role=region])";

  /** The nearest element around it that is no part of a line of text. */
  function block(element) {
    let at = element.parentElement;
    while (at && getComputedStyle(at).display === "inline") at = at.parentElement;
    return at;
  }

  /** Whether a link stands inside a sentence: WCAG 2.5.8 and 2.5.5 let the line height decide there. */
  function inSentence(element) {
    if (element.localName !== "a" || getComputedStyle(element).display !== "inline") return false;
    const around = block(element);
    const rest = around ? around.textContent.replace(element.textContent, "") : "";
    return /\p{L}{2,}/u.test(rest);
  }

  /** Targets smaller than a finger: what, and how large it is. */
  function small(least) {
    const found = [];
    for (const element of document.querySelectorAll(TARGETS)) {
      if (!seen(element) || inSentence(element)) continue;
      let box = element.getBoundingClientRect();
      let [width, height] = [box.width, box.height];
      // A label is part of the target of its box or dot.
      if (["checkbox", "radio"].includes(element.type)) {
        for (const label of element.labels ?? []) {
          box = label.getBoundingClientRect();
          [width, height] = [Math.max(width, box.width), Math.max(height, box.height)];
        }
      }
      if (width < least - 0.01 || height < least - 0.01) found.push(`${name(element)}: ${width.toFixed(1)} × ${height.toFixed(1)}`);
    }
    return found;
  }

  /** What reaches past the right edge of the window, where the page scrolls sideways. */
  function wide() {
    const page = document.scrollingElement;
    if (page.scrollWidth <= page.clientWidth) return [];
    const found = [`page: ${page.scrollWidth} px wide in ${page.clientWidth}`];
    for (const element of document.body.querySelectorAll("*")) {
      const box = element.getBoundingClientRect();
      if (box.right + scrollX <= page.clientWidth + 0.5) continue;
      let held = false;
      // What is placed by itself is held by what it is placed in only.
      const above = (at) => (getComputedStyle(at).position === "absolute" ? at.offsetParent : at.parentElement);
      for (let at = above(element); at && at !== document.body; at = above(at)) {
        if (getComputedStyle(at).overflowX !== "visible") held = true;
      }
      const inside = [...element.children].some((child) => child.getBoundingClientRect().right >= box.right - 0.5);
      if (!held && !inside) found.push(`${name(element)}: ends at ${box.right.toFixed(0)}`);
    }
    return found;
  }

  /** Elements that hide a part of their text. */
  function cut() {
    const found = [];
    for (const element of document.body.querySelectorAll("*")) {
      if (element instanceof SVGElement || !element.textContent.trim() || !seen(element)) continue;
      const style = getComputedStyle(element);
      const hides = (flow) => flow === "hidden" || flow === "clip";
      if (hides(style.overflowX) && element.scrollWidth > element.clientWidth + 1) found.push(`${name(element)}: cut at the side`);
      if (hides(style.overflowY) && element.scrollHeight > element.clientHeight + 1) found.push(`${name(element)}: cut below`);
    }
    return found;
  }

  /** How an element is marked when the focus is on it: its outline and its ring. */
  function mark(element) {
    const style = getComputedStyle(element);
    const outline = style.outlineStyle === "none" ? "" : `${style.outlineWidth} ${style.outlineStyle} ${style.outlineColor}`;
    return { outline, ring: style.boxShadow === "none" ? "" : style.boxShadow };
  }

  /** Puts the start of the Tab order at the top, and remembers how everything looks without the focus. */
  function beforeTabbing() {
    document.body.tabIndex = -1;
    document.body.focus();
    document.body.removeAttribute("tabindex");
    window.unmarked = new Map([...document.querySelectorAll(`${TARGETS},[role=region]`)].map((one) => [one, JSON.stringify(mark(one))]));
    const stops = [...document.querySelectorAll("a[href],button,input:not([type=hidden]),select,textarea,summary,[tabindex='0']")];
    const groups = new Set();
    return stops.filter((one) => {
      if (one.disabled || !one.checkVisibility({ visibilityProperty: true })) return false;
      // The dots of one question are one stop.
      if (one.type !== "radio") return true;
      return groups.has(one.name) ? false : Boolean(groups.add(one.name));
    }).length;
  }

  /** What is wrong with how the focus shows now; nothing if the focus has left the page. */
  function stop() {
    const element = document.activeElement;
    if (!element || element === document.body || element === document.documentElement) return null;
    const faults = [];
    const now = mark(element);
    if (!now.outline && !now.ring) faults.push("has no mark");
    else if (window.unmarked.get(element) === JSON.stringify(now)) faults.push("looks as it does without the focus");
    const around = ground(element.parentElement ?? element);
    const paints = `${now.outline} ${now.ring}`.match(/(?:rgba?|color)\([^)]*\)/g) ?? [];
    const best = Math.max(0, ...paints.map((text) => contrast(over(colour(text), around), around)));
    if (best < 3) faults.push(`its mark has a contrast of ${best.toFixed(2)}`);
    const boxes = [...element.getClientRects()].filter((box) => box.width > 0 && box.height > 0);
    const box = boxes[0];
    if (!box) faults.push("has no size");
    else {
      // The middle of the part that is in the window.
      const middle = (from, to, end) => (Math.max(from, 0) + Math.min(to, end)) / 2;
      const [x, y] = [middle(box.left, box.right, innerWidth), middle(box.top, box.bottom, innerHeight)];
      const top = document.elementFromPoint(x, y);
      const own = top && (element.contains(top) || top.contains(element) || [...(element.labels ?? [])].some((label) => label.contains(top)));
      if (!own) faults.push(`is covered or out of sight at ${x.toFixed(0)}, ${y.toFixed(0)}${top ? ` by ${name(top)}` : ""}`);
    }
    return { name: name(element), faults };
  }

  return { name, seen, faint, edgeless, small, wide, cut, beforeTabbing, stop };
})();
