// Sorts a table by the column whose head is clicked: numbers and laps by their size, words in the page's language.
for (const button of document.querySelectorAll("th button")) {
  button.addEventListener("click", () => {
    const head = button.parentElement;
    const column = [...head.parentElement.children].indexOf(head);
    const body = head.closest("table").tBodies[0];
    const isDown = head.getAttribute("aria-sort") === "ascending";
    for (const other of head.parentElement.children) other.removeAttribute("aria-sort");
    head.setAttribute("aria-sort", isDown ? "descending" : "ascending");
    const key = (row) => {
      const text = row.children[column]?.textContent.trim() ?? "";
      const lap = /^(\d+):(\d\d(?:\.\d+)?)(?![\d:])/.exec(text);
      if (lap) return { text, number: Number(lap[1]) * 60 + Number(lap[2]) };
      const number = /^[+−-]?[\d\u00a0\u202f]+([.,]\d+)?(?![\d-])/.exec(text);
      const digits = number && number[0].replace("−", "-").replace(",", ".").replace(/[\u00a0\u202f]/g, "");
      return { text, number: number ? Number(digits) : NaN };
    };
    const order = (a, b) => {
      // Unknown values come last, whichever way the column is sorted.
      if (!a.text || !b.text) return (a.text ? 0 : 1) - (b.text ? 0 : 1);
      const isNumber = !Number.isNaN(a.number) && !Number.isNaN(b.number);
      const by = isNumber ? a.number - b.number : a.text.localeCompare(b.text, document.documentElement.lang);
      return isDown ? -by : by;
    };
    const rows = [...body.rows].map((row) => ({ row, key: key(row) }));
    rows.sort((a, b) => order(a.key, b.key));
    body.append(...rows.map((entry) => entry.row));
  });
}
