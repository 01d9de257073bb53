for (const table of document.querySelectorAll("table.sortable")) {
  const body = table.tBodies[0];
  const key = (row, column) => {
    const cell = row.cells[column];
    const text = cell ? (cell.dataset.sort || cell.textContent) : "";
    const number = parseFloat(text.replace("−", "-"));
    return Number.isNaN(number) ? text : number;
  };
  const compare = (one, other) => typeof one === "number" && typeof other === "number"
    ? one - other : String(one).localeCompare(String(other));
  if (body.rows.length < 3) continue;
  [...table.tHead.rows[0].cells].forEach((head, column) => {
    const button = document.createElement("button");
    button.type = "button";
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener("click", () => {
      const falling = head.getAttribute("aria-sort") === "ascending";
      for (const other of table.tHead.rows[0].cells) other.removeAttribute("aria-sort");
      head.setAttribute("aria-sort", falling ? "descending" : "ascending");
      const totals = [...body.rows].filter((row) => row.classList.contains("total"));
      const rows = [...body.rows].filter((row) => !row.classList.contains("total"));
      rows.sort((one, other) => compare(key(one, column), key(other, column)) * (falling ? -1 : 1));
      body.append(...rows, ...totals);
    });
  });
}
for (const slide of document.querySelectorAll(".slide")) {
  const copy = (set) => {
    const proofs = slide.parentElement.querySelectorAll("[data-proof]");
    const found = [...proofs].find((proof) => proof.dataset.proof === set);
    const image = found.querySelector("img").cloneNode();
    image.alt = "";
    return image;
  };
  const over = document.createElement("div");
  over.className = "over";
  over.append(copy(slide.dataset.left));
  slide.querySelector(".pair").append(copy(slide.dataset.right), over);
  const input = slide.querySelector("input");
  const move = () => slide.style.setProperty("--cut", input.value + "%");
  input.addEventListener("input", move);
  slide.hidden = false;
  move();
}
