// What is wrong with a screen: text cut off or over other text, small letters, small targets, little room between;
// and what it says at two metres, how large, and where.
() => {
  const main = document.querySelector('main');
  const working = !main.classList.contains('sit');
  const found = { working, kind: main.className, cut: [], over: [], small: [], targets: [], gaps: [], scroll: 0 };
  const root = document.documentElement;
  found.scroll = Math.max(root.scrollHeight - innerHeight, root.scrollWidth - innerWidth, main.scrollHeight - main.clientHeight);
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const pieces = [];
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const text = node.data.trim();
    const holder = node.parentElement;
    if (!text || getComputedStyle(holder).clipPath === 'inset(50%)' || holder.closest('.unseen, script, style, title, desc, option') || !holder.checkVisibility({ visibilityProperty: true, opacityProperty: true, contentVisibilityAuto: true })) continue;
    const style = getComputedStyle(holder);
    const range = document.createRange();
    range.selectNodeContents(node);
    const svg = holder.closest('svg');
    const scale = svg && holder.getScreenCTM ? holder.getScreenCTM().a : 1;
    const px = parseFloat(style.fontSize) * scale;
    if (px < (working ? 24 : 18) - 0.1) found.small.push(`${text.slice(0, 40)}: ${px.toFixed(1)} px`);
    for (const rect of range.getClientRects()) {
      // The line box is taller than the letters: what counts is from the capital's top to the base line.
      const middle = (rect.top + rect.bottom) / 2;
      const box = { left: rect.left, right: rect.right, top: middle - 0.38 * px, bottom: middle + 0.38 * px };
      let cut = box.left < -1 || box.right > innerWidth + 1 || (working && (box.top < -1 || box.bottom > innerHeight + 1));
      for (let around = holder; around && around !== document.body && !cut; around = around.parentElement) {
        const { overflowX, overflowY } = getComputedStyle(around);
        const frame = around.getBoundingClientRect();
        if (overflowX !== 'visible' && (box.left < frame.left - 1 || box.right > frame.right + 1)) cut = true;
        if (overflowY !== 'visible' && (box.top < frame.top - 1 || box.bottom > frame.bottom + 1)) cut = true;
        if (around.matches('button, .act, .chip') && (box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 1 || box.bottom > frame.bottom + 1)) cut = true;
      }
      if (cut) found.cut.push(`${text.slice(0, 40)}: ${[box.left, box.top, box.right, box.bottom].map(Math.round)}`);
      if (!svg) pieces.push({ text, box });
    }
  }
  if (working) for (let i = 0; i < pieces.length; i += 1) for (let k = i + 1; k < pieces.length; k += 1) {
    const [a, b] = [pieces[i].box, pieces[k].box];
    if (Math.min(a.right, b.right) - Math.max(a.left, b.left) > 2 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 2)
      found.over.push(`${pieces[i].text.slice(0, 30)} / ${pieces[k].text.slice(0, 30)}`);
  }
  // Lying down under an alarm's bar a caution is no button.
  const dead = one => one.matches('.hazard') && getComputedStyle(one).pointerEvents === 'none';
  const targets = [...document.querySelectorAll('button, a[href], input, select, textarea, summary, [role=button]')]
    .filter(one => one.checkVisibility({ visibilityProperty: true }) && one.getBoundingClientRect().width > 1 && !one.closest('label.station') && !dead(one))
    .map(one => ({ one, name: (one.getAttribute('aria-label') || one.innerText || one.tagName).slice(0, 30), box: one.getBoundingClientRect(), primary: one.matches('[data-primary]') }));
  for (const { one, name, box, primary } of targets) {
    const side = Math.round(Math.min(box.left, innerWidth - box.right));
    found.targets.push({ name, primary, small: one.matches('.small-row .small, .tile'), strip: one.closest('.people-strip') !== null, width: Math.round(box.width), height: Math.round(box.height), side });
  }
  const at = (css) => {
    const box = document.querySelector(css)?.getBoundingClientRect();
    return box && box.height > 0 ? [box.left, box.top, box.right, box.bottom].map(Math.round) : null;
  };
  const text = (css) => document.querySelector(css)?.innerText.trim() ?? '';
  const digits = document.querySelector('main.work .number, main.quench .number');
  found.two_metres = { word: text('main h1'), sentence: text('main.work .say, main.quench .say') };
  found.shape = main.dataset.shape ?? '';
  found.digits_px = digits ? parseFloat(getComputedStyle(digits).fontSize) : null;
  found.places = Object.fromEntries(Object.entries({ strip: '.people-strip', word: '.work > .top', action: '.work .act', small: '.work .small-row' }).map(([name, css]) => [name, at(css)]));
  for (let i = 0; i < targets.length; i += 1) for (let k = i + 1; k < targets.length; k += 1) {
    if (targets[i].one.contains(targets[k].one) || targets[k].one.contains(targets[i].one)) continue;
    const [a, b] = [targets[i].box, targets[k].box];
    const gap = Math.max(a.left - b.right, b.left - a.right, a.top - b.bottom, b.top - a.bottom);
    found.gaps.push({ names: `${targets[i].name} / ${targets[k].name}`, px: Math.round(gap) });
  }
  return found;
}
