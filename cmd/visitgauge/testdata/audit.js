// What the test of the pages asks the browser. Each question answers with a list
// of what is wrong.
var audit = (() => {
  const shown = (e) => e.checkVisibility({ checkVisibilityCSS: true, contentVisibilityAuto: true });
  const name = (e) => e.tagName.toLowerCase() + (e.id ? "#" + e.id : "") + (e.getAttribute("class") ? "." + e.getAttribute("class") : "");

  // layout: nothing is wider than the window, and no letter smaller than 12 pixels in a picture.
  const layout = (unfold) => {
    const wrong = [];
    for (const d of document.querySelectorAll("details")) d.open = unfold || d.open;
    const wide = document.documentElement.scrollWidth, window_ = document.documentElement.clientWidth;
    if (wide > window_) {
      const e = [...document.querySelectorAll("body *")].find((e) => e.getBoundingClientRect().right > window_ + 0.5 && !e.closest(".scroll"));
      wrong.push(`scrolls sideways, ${wide} in ${window_}` + (e ? ` because of ${name(e)}` : ""));
    }
    for (const svg of document.querySelectorAll("svg")) {
      const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
      for (const text of svg.querySelectorAll("text")) {
        const size = parseFloat(getComputedStyle(text).fontSize) * scale;
        if (size < 12) { wrong.push(`"${text.textContent}" is ${size.toFixed(1)} pixels high`); break; }
        const box = text.getBoundingClientRect(), all = svg.getBoundingClientRect();
        if (box.left < all.left - 1 || box.right > all.right + 1 || box.top < all.top - 1 || box.bottom > all.bottom + 1) wrong.push(`"${text.textContent}" is cut off in ${svg.getAttribute("aria-labelledby")}`);
      }
    }
    return wrong;
  };

  // Relative luminance and contrast ratio as WCAG 2.2 defines them.
  const parts = (css) => { const m = css.match(/[\d.]+/g).map(Number); return { rgb: m.slice(0, 3), alpha: m.length > 3 ? m[3] : 1 }; };
  const luminance = (rgb) => {
    const [r, g, b] = rgb.map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ratio = (a, b) => { const [x, y] = [luminance(a), luminance(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
  const ground = (e) => {
    for (; e; e = e.parentElement) {
      const c = parts(getComputedStyle(e).backgroundColor);
      if (c.alpha === 1) return c.rgb;
      if (c.alpha > 0) return null;
    }
    return null;
  };
  const contrast = () => {
    const wrong = new Set();
    let looked = 0;
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const e = walk.currentNode.parentElement;
      if (!walk.currentNode.data.trim() || !shown(e) || e.closest("title, desc, style")) continue;
      const style = getComputedStyle(e), back = ground(e);
      const front = parts(e.closest("svg") ? style.fill : style.color);
      if (!back || front.alpha !== 1) { wrong.add(`${name(e)}: its colours cannot be told`); continue; }
      const size = parseFloat(style.fontSize), large = size >= 24 || (size >= 18.66 && parseInt(style.fontWeight) >= 700);
      const got = ratio(front.rgb, back), want = large ? 3 : 4.5;
      looked++;
      if (got < want) wrong.add(`${name(e)}: ${got.toFixed(2)} to 1, want ${want}: "${walk.currentNode.data.trim().slice(0, 40)}"`);
    }
    // What carries meaning in a picture, and the edges of boxes: 3 to 1 (success criterion 1.4.11).
    const probe = document.createElement("i");
    document.body.append(probe);
    const back = ground(document.body);
    for (const property of ["--ink", "--mark", "--limit", "--edge", "--quiet"]) {
      probe.style.color = `var(${property})`;
      const got = ratio(parts(getComputedStyle(probe).color).rgb, back);
      if (got < 3) wrong.add(`${property}: ${got.toFixed(2)} to 1 against the ground, want 3`);
    }
    probe.remove();
    if (looked < 10) wrong.add(`only ${looked} texts were looked at`);
    return [...wrong];
  };

  // structure: language, landmarks, headings in order, tables with captions and headers, pictures with words, and no
  // trace of a text that was obeyed.
  const structure = () => {
    const wrong = [], all = (s) => [...document.querySelectorAll(s)];
    if (!document.documentElement.lang) wrong.push("no language");
    if (!document.title || document.title === "obeyed") wrong.push(`the title is "${document.title}"`);
    if (all("main").length !== 1 || all("h1").length !== 1) wrong.push("not one main and one h1");
    let level = 0;
    for (const h of all("h1, h2, h3, h4, h5, h6")) {
      const n = Number(h.tagName[1]);
      if (n > level + 1) wrong.push(`${name(h)} "${h.textContent}" follows a heading of level ${level}`);
      if (!h.textContent.trim()) wrong.push(`${name(h)} is empty`);
      level = n;
    }
    for (const t of all("table")) {
      if (!t.caption || !t.caption.textContent.trim()) wrong.push("a table without caption");
      for (const th of t.querySelectorAll("th")) if (!["row", "col"].includes(th.scope)) wrong.push(`a header without scope: ${th.textContent}`);
      if (!t.querySelector("thead th")) wrong.push("a table without column headers");
    }
    // What is hidden from those who do not see it stands beside it in words or numbers.
    for (const s of all("svg:not([aria-hidden=true]), img")) {
      const said = (attribute) => (document.getElementById(s.getAttribute(attribute) || "none") || { textContent: "" }).textContent.trim();
      if (s.getAttribute("role") !== "img" || !said("aria-labelledby") || said("aria-describedby").length < 20) wrong.push(`${name(s)} says too little to those who do not see it`);
    }
    const ids = all("[id]").map((e) => e.id), seen = new Set();
    for (const id of ids) { if (seen.has(id)) wrong.push(`two elements are called ${id}`); seen.add(id); }
    for (const s of all("section")) if (!document.getElementById(s.getAttribute("aria-labelledby"))) wrong.push("a section without a name");
    for (const e of all(".scroll")) if (e.tabIndex !== 0 || !e.getAttribute("aria-label")) wrong.push("a part that scrolls cannot be reached by keyboard, or has no name");
    for (const e of all("script, img, iframe, object, embed, link, base, form, input")) wrong.push(`${name(e)} is in the page`);
    for (const e of all("*")) for (const a of e.getAttributeNames()) if (a.startsWith("on")) wrong.push(`${name(e)} has ${a}`);
    for (const a of all("a")) if (!/^(#|visit[-_]|(index|visits)\.html$)/.test(a.getAttribute("href"))) wrong.push(`a link leads to ${a.getAttribute("href")}`);
    if (performance.getEntriesByType("resource").length) wrong.push("something was asked for besides the page");
    return wrong;
  };
  return { layout, contrast, structure };
})();
