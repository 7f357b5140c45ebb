// Sort and choose from the tables, show proposals from one probability upward, open what is folded.
// Nothing is made here that the page does not hold: without this script all of it is there to read.
"use strict";
(() => {
  const PAGE = 25; // rows shown at first of a long table
  const make = (name, text, mark) => Object.assign(document.createElement(name), { textContent: text, className: mark || "" });
  const number = (cell) => parseFloat(cell.dataset.by ?? cell.textContent.replace(/[,<>\s]/g, ""));

  const longTable = (table) => {
    const body = table.tBodies[0], rows = [...body.rows], heads = [...table.tHead.rows[0].cells];
    const texts = rows.map((row) => row.textContent.toLowerCase());
    const tools = make("p", "", "tools"), label = make("label", "Only rows with "), field = make("input");
    const told = make("span", "", "told"), more = make("button", "");
    let all = false;
    field.type = "search"; more.type = "button"; told.setAttribute("role", "status");
    const show = () => {
      const wanted = field.value.trim().toLowerCase();
      let found = 0;
      rows.forEach((row, at) => {
        const fits = !wanted || texts[row.dataset.at ?? at].includes(wanted);
        row.hidden = !fits || (!all && found >= PAGE);
        found += fits;
      });
      told.textContent = found === rows.length ? "" : ` ${found} of ${rows.length} rows `;
      more.hidden = found <= PAGE;
      more.textContent = all ? `Show the first ${PAGE}` : `Show all ${found}`;
    };
    rows.forEach((row, at) => { row.dataset.at = at; });
    heads.forEach((head, column) => {
      const button = make("button", head.textContent);
      button.type = "button"; head.textContent = ""; head.append(button);
      button.addEventListener("click", () => {
        const down = head.getAttribute("aria-sort") === "ascending";
        heads.forEach((one) => one.removeAttribute("aria-sort"));
        head.setAttribute("aria-sort", down ? "descending" : "ascending");
        const numeric = head.classList.contains("number") || rows.some((row) => row.cells[column].dataset.by);
        const key = (cell) => numeric ? number(cell) : cell.textContent;
        const keys = new Map(rows.map((row) => [row, key(row.cells[column])]));
        const compare = (x, y) => numeric ? x - y : x.localeCompare(y, undefined, { numeric: true });
        const isEmpty = (one) => one === "" || Number.isNaN(one);
        rows.sort((a, b) => { // what has no figure stands last, whichever way
          const x = keys.get(a), y = keys.get(b);
          if (isEmpty(x) || isEmpty(y)) return isEmpty(x) - isEmpty(y);
          return down ? compare(y, x) : compare(x, y);
        });
        body.append(...rows);
        show();
      });
    });
    let waiting;
    field.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(show, 120); });
    more.addEventListener("click", () => { all = !all; show(); });
    if (rows.length <= PAGE) return;
    label.append(field); tools.append(label, told, more);
    table.closest(".scroll").before(tools);
    show();
  };

  const lostText = (text) => {
    const entries = [...text.querySelectorAll(".entry")], lines = [...text.querySelectorAll(".line")];
    if (!entries.length) return;
    const tools = make("p", "", "tools"), from = make("label", "Show what is proposed from "), level = make("select");
    const only = make("label", ""), box = make("input"), open = make("button", "Open all evidence");
    for (const [value, told] of [[0, "any probability"], [0.2, "0.2"], [0.5, "0.5"], [0.8, "0.8"], [0.9, "0.9"]]) level.append(new Option(told, value));
    box.type = "checkbox"; open.type = "button";
    const show = () => {
      entries.forEach((one) => { one.hidden = Number(one.dataset.level) < Number(level.value); });
      lines.forEach((line) => { line.hidden = box.checked && !line.querySelector(".entry:not([hidden])"); });
    };
    level.addEventListener("change", show);
    box.addEventListener("change", show);
    open.addEventListener("click", () => {
      const shut = entries.some((one) => !one.open && !one.hidden);
      entries.forEach((one) => { if (!one.hidden) one.open = shut; });
      open.textContent = shut ? "Close all evidence" : "Open all evidence";
    });
    from.append(level); only.append(box, " only lines with something beside them"); tools.append(from, only, open);
    text.before(tools);
  };

  const openTarget = () => {
    let target;
    try { target = document.getElementById(decodeURIComponent(location.hash.slice(1))); } catch { return; }
    for (let one = target; one; one = one.parentElement) {
      if (one.tagName === "DETAILS") one.open = true;
      one.hidden = false;
    }
    if (target) target.scrollIntoView();
  };

  document.querySelectorAll("table.long").forEach(longTable);
  document.querySelectorAll(".lost").forEach(lostText);
  addEventListener("hashchange", openTarget);
  if (location.hash) openTarget();
  addEventListener("beforeprint", () => {
    document.querySelectorAll(".lost.brief .entry:not([open]), .fold.brief:not([open])").forEach((one) => { one.open = true; one.dataset.shut = ""; });
  });
  addEventListener("afterprint", () => {
    document.querySelectorAll("details[data-shut]").forEach((one) => { one.open = false; delete one.dataset.shut; });
  });
})();
