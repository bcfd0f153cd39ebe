// Asks whether the book has changed, and loads the page anew where it has. The text being read stays in its place.
{
  const edition = document.body.dataset.edition;
  const status = document.querySelector(".watch [role=status]");
  const kept = "loambook:" + location.pathname;
  const blocks = () => [...document.querySelectorAll("main h1, main h2, main h3, main p, main li, main tr, main pre, main figure, main .tile")];
  const words = (block) => block.textContent.trim().slice(0, 120);
  // The first block that reaches into the window counts as the one being read.
  const keep = () => {
    const all = blocks();
    const at = all.findIndex((block) => block.getBoundingClientRect().bottom > 0);
    const place = { x: scrollX, y: scrollY, at };
    if (at >= 0) Object.assign(place, { words: words(all[at]), top: all[at].getBoundingClientRect().top });
    sessionStorage.setItem(kept, JSON.stringify(place));
    history.scrollRestoration = "manual";
  };
  const giveBack = () => {
    const place = JSON.parse(sessionStorage.getItem(kept) ?? "null");
    sessionStorage.removeItem(kept);
    // While the page loads, the browser would restore its distance from the top.
    addEventListener("load", () => setTimeout(() => (history.scrollRestoration = "auto"), 100));
    if (!place) return;
    scrollTo(place.x, place.y);
    if (place.at < 0 || place.y === 0) return;
    // The same words, nearest to their former place; a rewritten block is found by its number alone.
    const all = blocks();
    const same = all.map((_, at) => at).filter((at) => words(all[at]) === place.words);
    same.sort((a, b) => Math.abs(a - place.at) - Math.abs(b - place.at));
    const block = all[same[0] ?? place.at];
    if (block) scrollBy(0, block.getBoundingClientRect().top - place.top);
  };
  const ask = async () => {
    try {
      const answer = await fetch("edition", { cache: "no-store" });
      if (answer.ok && (await answer.text()) !== edition) {
        keep();
        location.reload();
        return;
      }
      status.textContent = "";
    } catch {
      status.textContent = document.body.dataset.gone;
    }
    setTimeout(ask, document.hidden ? 2000 : 300);
  };
  giveBack();
  setTimeout(ask, 300);
}
