"use strict";
const form = document.querySelector(".sift"), body = document.querySelector(".rigs tbody");
const rows = [...body.rows], count = form.querySelector(".shown");
const sift = () => {
  const words = form.elements.words.value.toLowerCase().split(/\s+/).filter(Boolean), verdict = form.elements.verdict.value;
  let number = 0;
  for (const row of rows) {
    const text = row.textContent.toLowerCase();
    row.hidden = (verdict && row.dataset.verdict !== verdict) || !words.every((word) => text.includes(word));
    number += !row.hidden;
  }
  count.textContent = `${number} of ${rows.length}`;
};
const value = (row, by) => (by === "rank" || by === "share" ? (row.dataset[by] === "" ? Infinity : +row.dataset[by]) : row.dataset[by]);
const sort = (by, down) => {
  const sign = down ? -1 : 1;
  const order = (a, b) => (a < b ? -1 : a > b ? 1 : 0);
  const compare = (a, b) => (typeof a === "string" ? a.localeCompare(b) : order(a, b));
  body.append(...[...rows].sort((a, b) => sign * compare(value(a, by), value(b, by))));
};
for (const head of document.querySelectorAll(".rigs th[data-sort]")) {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = head.textContent;
  head.replaceChildren(button);
  button.addEventListener("click", () => {
    const down = head.getAttribute("aria-sort") === "ascending";
    document.querySelectorAll(".rigs th[aria-sort]").forEach((other) => other.removeAttribute("aria-sort"));
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
    sort(head.dataset.sort, down);
  });
}
form.addEventListener("input", sift);
form.addEventListener("submit", (event) => event.preventDefault());
form.hidden = false;
sift();
