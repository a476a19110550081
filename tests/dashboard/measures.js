// Contrast and width as the browser has them. Each measure gives the sentences of what falls short, and how much it looked at.
// Formulas: WCAG 2.2, "contrast ratio" and "relative luminance" (2023, Glossary); limits: success criteria 1.4.3, 1.4.10, 1.4.11 and 1.4.12.
(() => {
  const TEXT = 4.5, LARGE = 3, GRAPHIC = 3;
  const NOTHING = [0, 0, 0, 0], PAPER = [255, 255, 255, 1];

  const pen = Object.assign(document.createElement("canvas"), { width: 1, height: 1 }).getContext("2d", { willReadFrequently: true });
  const known = new Map();
  function colour(words) { // any CSS colour as red, green, blue, and how much it covers
    if (!known.has(words)) {
      pen.clearRect(0, 0, 1, 1);
      pen.fillStyle = words;
      pen.fillRect(0, 0, 1, 1);
      const [red, green, blue, cover] = pen.getImageData(0, 0, 1, 1).data;
      known.set(words, [red, green, blue, cover / 255]);
    }
    return known.get(words);
  }
  const mixed = (under, top, share) => [...[0, 1, 2].map(i => under[i] + (top[i] - under[i]) * share), 1];
  const over = (top, under) => mixed(under, top, top[3]);
  const thinned = ([red, green, blue, cover], share) => [red, green, blue, cover * share];
  function luminance(one) {
    const [red, green, blue] = one.slice(0, 3).map(part => part / 255).map(part => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  }
  function contrast(one, other) {
    const [dark, light] = [luminance(one), luminance(other)].sort((a, b) => a - b);
    return (light + 0.05) / (dark + 0.05);
  }

  function chain(element) {
    const all = [];
    for (let one = element; one; one = one.parentElement) all.unshift(one);
    return all;
  }
  const looks = { grounds: new Map(), tiny: new Map() }; // what is asked of an element again and again, for the length of one measure
  const afresh = measure => () => { Object.values(looks).forEach(each => each.clear()); return measure(); };
  function remembered(map, one, ask) {
    if (!map.has(one)) map.set(one, ask());
    return map.get(one);
  }
  const look = one => remembered(looks.grounds, one, () => {
    const { backgroundColor, opacity } = getComputedStyle(one);
    return [colour(backgroundColor), +opacity];
  });
  function painted(elements, top, place = 0, under = PAPER) { // `top` laid on the last of the elements, with every ground and opacity on the way
    if (place === elements.length) return over(top, under);
    const [own, opacity] = look(elements[place]);
    return mixed(under, painted(elements, top, place + 1, over(own, under)), opacity);
  }
  const ground = element => painted(chain(element), NOTHING);

  const shown = () => document.querySelector("[role=dialog]") || document.body; // what lies behind an open dialog cannot be used
  const all = selector => [...shown().querySelectorAll(selector)].filter(one => one.checkVisibility({ visibilityProperty: true, opacityProperty: true }));
  const isOff = one => one.closest("[disabled], [aria-disabled=true], [data-disabled]") || one.closest("label, .stElementContainer")?.querySelector("input:disabled, textarea:disabled");
  const isTiny = one => !!one && remembered(looks.tiny, one, () =>
    (one.getBoundingClientRect().width <= 1 && getComputedStyle(one).overflow === "hidden") || isTiny(one.parentElement));
  const told = one => `${one.tagName.toLowerCase()}.${[...one.classList].filter(name => !/^st-emotion|^e[0-9a-z]{6,}$/.test(name)).join(".")}`;

  function held(checked) { // the worst of each sort, one sentence each
    const short = new Map();
    for (const { what, ratio, least } of checked.filter(each => each.ratio < each.least)) {
      if (!short.has(what) || short.get(what).ratio > ratio) short.set(what, { ratio, least });
    }
    return { looked: checked.length, short: [...short].map(([what, { ratio, least }]) => `${what}: ${ratio.toFixed(2)}, expected ${least}`) };
  }

  function limit(style) {
    const size = parseFloat(style.fontSize);
    return size >= 24 || (size >= 18.66 && +style.fontWeight >= 700) ? LARGE : TEXT;
  }
  function texts() {
    const checked = [], walker = document.createTreeWalker(shown(), NodeFilter.SHOW_TEXT), boxes = new Set(all("*"));
    while (walker.nextNode()) {
      const words = walker.currentNode.data.trim(), one = walker.currentNode.parentElement;
      if (!words || !boxes.has(one) || isOff(one) || isTiny(one) || one.closest("script, style")) continue;
      const style = getComputedStyle(one), least = one.closest("[data-testid=stIconMaterial]") ? GRAPHIC : limit(style);
      checked.push({ what: `"${words.slice(0, 40)}" in ${told(one)}`, ratio: contrast(painted(chain(one), colour(style.color)), ground(one)), least });
    }
    for (const one of all("input, textarea").filter(each => !isOff(each) && (each.value || each.placeholder))) {
      const style = getComputedStyle(one, one.value ? null : "::placeholder");
      const ink = thinned(colour(style.color), one.value ? 1 : +style.opacity);
      checked.push({ what: `"${(one.value || one.placeholder).slice(0, 40)}" in ${told(one)}`, ratio: contrast(painted(chain(one), ink), ground(one)), least: limit(style) });
    }
    return held(checked);
  }

  function opened(drawing) { // the SVG text behind a mask, laid out where nobody sees it
    const style = getComputedStyle(drawing), image = /base64,([^")]+)/.exec(style.maskImage || style.webkitMaskImage)[1];
    const place = document.createElement("div");
    place.style.cssText = "position: fixed; left: -9999px; top: 0; width: 600px; visibility: hidden";
    place.innerHTML = new TextDecoder().decode(Uint8Array.from(atob(image), letter => letter.charCodeAt(0)));
    document.body.append(place);
    return place;
  }
  const crosses = (one, other) => one.x <= other.x + other.width && other.x <= one.x + one.width && one.y <= other.y + other.height && other.y <= one.y + one.height;
  function drawn(drawing) { // each stroke, area and word of a drawing against what lies under it there
    const place = opened(drawing), svg = place.querySelector("svg"), ink = colour(getComputedStyle(drawing).backgroundColor);
    const before = chain(drawing.parentElement), areas = [], checked = [];
    const scale = drawing.getBoundingClientRect().width / svg.viewBox.baseVal.width;
    for (const one of svg.querySelectorAll("polyline, polygon, path, circle, rect, line, text")) {
      const style = getComputedStyle(one), box = one.getBBox(), covers = { fill: +style.fillOpacity, stroke: +style.strokeOpacity };
      const under = areas.filter(each => crosses(each.box, box)).reduce((cover, each) => 1 - (1 - cover) * (1 - each.cover), 0);
      const at = cover => painted(before, thinned(ink, cover)), over = (cover, top) => 1 - (1 - cover) * (1 - top);
      const kinds = Object.keys(covers).filter(kind => style[kind] !== "none" && covers[kind] > 0);
      const isText = one.tagName === "text", large = isText && parseFloat(style.fontSize) * scale >= 24;
      const ratio = Math.max(0, ...kinds.map(kind => contrast(at(over(under, covers[kind])), at(under))));
      checked.push({ what: `${one.tagName} of "${drawing.ariaLabel}"`, ratio, least: isText && !large ? TEXT : GRAPHIC });
      if (one.tagName === "polygon") areas.push({ box, cover: covers.fill });
    }
    place.remove();
    return checked;
  }

  const SIDES = ["Top", "Right", "Bottom", "Left"];
  function inks(one, part) { // every colour that an element paints with, its own ground apart
    const style = getComputedStyle(one, part);
    if (part && style.content === "none") return [];
    const lines = SIDES.filter(side => parseFloat(style[`border${side}Width`]) > 0 && style[`border${side}Style`] !== "none").map(side => style[`border${side}Color`]);
    const pattern = `${style.backgroundImage} ${style.boxShadow}`.match(/(?:rgba?|color|oklab)\([^)]*\)/g) || [];
    return [...lines, ...pattern, ...(part ? [style.backgroundColor] : [])].map(colour).filter(each => each[3] > 0);
  }
  function mark(one) { // a mark made of CSS: its strongest ink counts, for an outline carries a pale ground
    const before = chain(one), outside = ground(one.parentElement), own = getComputedStyle(one);
    const bare = top => mixed(outside, over(top, outside), +own.opacity);
    const tops = [null, "::before", "::after"].flatMap(part => inks(one, part)).map(bare);
    if (colour(own.backgroundColor)[3] > 0) tops.push(painted(before, NOTHING));
    const what = `${told(one)} in ${told(one.parentElement)}`;
    return tops.length ? [{ what, ratio: Math.max(...tops.map(each => contrast(each, outside))), least: GRAPHIC }] : [];
  }
  const drawings = () => held([...all(".drawing").flatMap(drawn), ...all("[data-testid=stHtml] i, .setup-card i").flatMap(mark)]);

  const FIELDS = "[data-testid=stTextInputRootElement], [data-testid=stTextAreaRootElement], [data-testid=stNumberInputContainer], .stSelectbox [role=group], .stMultiSelect [role=group], "
    + ".stDateTimeInput [role=group], .stCheckbox label > div:first-of-type, .stCheckbox label > div:first-of-type > div";
  const ICONS = "button svg, summary svg, [data-testid=stHeader] svg";
  function controls() { // where a field begins and ends, and signs that stand for words
    const fields = all(FIELDS).filter(one => !isOff(one)).flatMap(mark);
    const icons = all(ICONS).filter(one => !isOff(one)).map(one => {
      const shapes = [...one.querySelectorAll("path, circle, line, rect, polyline")].map(each => getComputedStyle(each));
      const tops = shapes.flatMap(style => [style.fill, style.stroke]).filter(each => each !== "none").map(each => painted(chain(one), colour(each)));
      const ratio = Math.max(...tops.map(each => contrast(each, ground(one))));
      return { what: `sign in ${one.closest("button, summary, header").ariaLabel || told(one.parentElement)}`, ratio, least: GRAPHIC };
    });
    return held([...fields, ...icons]);
  }

  const SCROLLERS = ".wide, .strip, .st-key-unseen, [data-testid=stDataFrame]"; // tables slide in a frame of their own, as 1.4.10 lets them
  function wide() {
    const room = document.documentElement.clientWidth, main = document.querySelector("[data-testid=stMain]");
    const isOut = ({ left, right }) => right - left > 1 && (right > room + 1 || left < -1);
    const out = [...document.querySelectorAll("[data-testid=stMain] *, [data-testid=stHeader] *, [role=dialog], [role=dialog] *")]
      .filter(one => isOut(one.getBoundingClientRect()) && !one.closest(SCROLLERS) && !isTiny(one))
      .filter(one => one.checkVisibility({ visibilityProperty: true, opacityProperty: true }));
    const slides = [document.documentElement, main, document.querySelector("[role=dialog]")].filter(one => one && one.scrollWidth > one.clientWidth + 1);
    return [...slides.map(one => `${told(one)} slides sideways`), ...out.slice(0, 3).map(one => `${told(one)} "${one.textContent.slice(0, 40)}" sticks out`)];
  }

  function lines() { // every line of every text that is seen
    const walker = document.createTreeWalker(shown(), NodeFilter.SHOW_TEXT), boxes = new Set(all("*")), found = [];
    while (walker.nextNode()) {
      const words = walker.currentNode.data.trim().slice(0, 40), one = walker.currentNode.parentElement, range = document.createRange();
      if (!words || !boxes.has(one) || isTiny(one) || one.closest("script, style")) continue;
      range.selectNodeContents(walker.currentNode);
      found.push(...[...range.getClientRects()].filter(box => box.width > 1).map(box => ({ one, words, box })));
    }
    return found;
  }
  const slides = one => /auto|scroll/.test(getComputedStyle(one).overflow);
  function isCut({ one, box }) { // by what neither shows nor slides what does not fit into it
    for (let at = one; at && !slides(at); at = at.parentElement) {
      const { overflowX, overflowY } = getComputedStyle(at), edge = at.getBoundingClientRect();
      if (overflowX !== "visible" && (box.left < edge.left - 2 || box.right > edge.right + 2)) return true;
      if (overflowY !== "visible" && (box.top < edge.top - 2 || box.bottom > edge.bottom + 2)) return true;
    }
    return false;
  }
  const floor = one => !one || slides(one) || /fixed|sticky/.test(getComputedStyle(one).position) ? one : floor(one.parentElement); // with what it slides
  const shared = (one, other, [from, to]) => Math.min(one[to], other[to]) - Math.max(one[from], other[from]);
  function crowded() { // text that is cut off or lies over other text; what slides under a bar comes out again
    const found = lines().sort((one, other) => one.box.top - other.box.top), short = [];
    found.forEach((line, place) => {
      if (isCut(line)) short.push(`"${line.words}" is cut off`);
      for (const next of found.slice(place + 1)) {
        if (next.box.top > line.box.bottom) break;
        const over = shared(line.box, next.box, ["left", "right"]) > 3 && shared(line.box, next.box, ["top", "bottom"]) > 5;
        if (over && next.one !== line.one && floor(next.one) === floor(line.one)) short.push(`"${line.words}" and "${next.words}" lie over each other`);
      }
    });
    short.push(...all("input[inputmode], input[type=number]").filter(one => one.scrollWidth > one.clientWidth + 1).map(one => `"${one.value}" in "${one.ariaLabel}" is cut off`));
    return { looked: found.length, short: [...new Set(short)] };
  }

  function undescribed() { // what is painted and stands neither in a picture with words nor beside words as a sample
    const isTold = one => one.closest("[role=img][aria-label], [aria-hidden=true]");
    const paints = one => inks(one, null).length || inks(one, "::before").length || colour(getComputedStyle(one).backgroundColor)[3] > 0;
    const bare = all(".drawing, [data-testid=stHtml] i, .setup-card i").filter(one => paints(one) && !isTold(one));
    const wordless = all("[role=img], img").filter(one => !one.closest("[aria-hidden=true]") && (one.ariaLabel || one.alt || "").trim().length < 2);
    return [...new Set([...bare, ...wordless].map(one => `${told(one)} in "${(one.parentElement.innerText || "").slice(0, 40)}"`))];
  }

  function focused() { // the outline of what the keyboard is at, how it stands out, and whether anything of it can be seen
    const one = document.activeElement, box = (one.closest(".stCheckbox")?.querySelector("label") || one).getBoundingClientRect();
    const ring = chain(one).reverse().map(each => [each, getComputedStyle(each)]).find(([, style]) => style.outlineStyle === "solid" && parseFloat(style.outlineWidth) >= 2);
    const places = [0.1, 0.5, 0.9].flatMap(x => [0.1, 0.5, 0.9].map(y => [box.left + x * box.width, box.top + y * box.height]));
    const hits = places.map(([x, y]) => document.elementFromPoint(x, y)).filter(each => each && (one.contains(each) || each.contains(one) && !each.matches("html, body")));
    return {
      name: one.ariaLabel || one.innerText?.trim() || one.placeholder || "", role: one.getAttribute("role") || one.tagName.toLowerCase(), kind: told(one),
      ring: ring ? contrast(painted(chain(ring[0].parentElement), colour(ring[1].outlineColor)), ground(ring[0].parentElement)) : 0,
      seen: hits.length > 0,
    };
  }

  window.measures = Object.fromEntries(Object.entries({ texts, drawings, controls, wide, crowded, undescribed, focused }).map(([name, one]) => [name, afresh(one)]));
})();
