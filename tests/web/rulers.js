// Our own rulers: contrast of every text that shows, size of every target, width of the page, names of controls.
function rulers() {
  const found = [];
  const shown = e => e.getClientRects().length > 0 && getComputedStyle(e).visibility !== "hidden" && !e.closest(".skip, .only-read");
  const rgb = text => (text.match(/[\d.]+/g) ?? [0, 0, 0, 0]).map(Number);
  const light = ([r, g, b]) => [r, g, b].map(v => v / 255).map(v => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4))
    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const ground = e => {
    for (let at = e; at; at = at.parentElement) {
      const c = rgb(getComputedStyle(at).backgroundColor);
      if (c.length === 3 || c[3] === 1) return c;
    }
    return [255, 255, 255];
  };
  const ratio = (a, b) => (Math.max(light(a), light(b)) + 0.05) / (Math.min(light(a), light(b)) + 0.05);
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const e = walker.currentNode.parentElement, text = walker.currentNode.textContent.trim();
    if (!text || e.closest("svg, script, option, [hidden]") || !shown(e)) continue;
    const r = ratio(rgb(getComputedStyle(e).color), ground(e));
    if (r < 7) found.push(`contrast ${r.toFixed(2)}: ${text.slice(0, 40)}`);
  }
  for (const e of document.querySelectorAll("svg.drawing text")) {
    if (!shown(e) || e.closest("[hidden]")) continue;
    const r = ratio(rgb(getComputedStyle(e).fill), ground(e.closest("svg")));
    if (r < 7) found.push(`contrast ${r.toFixed(2)}: ${e.textContent}`);
  }
  for (const e of document.querySelectorAll("button, a[href], input, select, summary, [role=switch]")) {
    if (!shown(e) || e.closest("[hidden]")) continue;
    const touched = (e.matches("[type=radio], [type=checkbox]") && e.closest("label")) || e;
    const box = touched.getBoundingClientRect(), inText = e.matches("h2 > a");
    const least = e.matches(".sign, .stop") ? 72 : e.matches(".main") ? 56 : 44;
    if (!inText && (box.height < least - 0.01 || box.width < least - 0.01)) {
      found.push(`target ${box.width.toFixed(0)} x ${box.height.toFixed(0)}: ${(e.textContent || e.id).trim().slice(0, 40)}`);
    }
    const name = e.getAttribute("aria-label") || e.textContent.trim() || (e.labels && e.labels[0]?.textContent.trim());
    if (!name) found.push(`no name: ${e.outerHTML.slice(0, 80)}`);
  }
  const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  if (wide > 0) found.push(`wider than the page by ${wide} px`);
  return found;
}
