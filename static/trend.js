"use strict";
// Draws one column of the table beside it; the table holds the numbers, this is their picture.
(() => {
  const figure = document.getElementById("trend");
  if (!figure || !window.echarts) return;
  const table = document.getElementById(figure.dataset.table);
  const choice = document.getElementById("trend-figure");
  figure.hidden = false;
  const picture = echarts.init(figure.querySelector(".picture"), null, { renderer: "svg" });
  const ink = getComputedStyle(document.documentElement).getPropertyValue("--accent").trim() || "#14532d";

  const said = document.getElementById("words").content.querySelector("[value=target]").textContent;
  const { decimal } = figure.dataset; // the sign before decimals, in the language of the page

  const rows = [...table.tBodies[0].rows];
  const textOf = (cell) => (cell.querySelector("a")?.firstChild ?? cell).textContent.trim();
  // a printed number keeps its exact digits; only its signs and its thin spaces are undone
  const read = (cell) => {
    const text = textOf(cell).replace("\u2212", "-").replace(/\u202f/g, "").replace(decimal, ".");
    return text === "" || text === "–" ? null : Number(text);
  };

  function draw() {
    const column = Number(choice.value) + 1;
    const head = table.tHead.rows[0].cells[column];
    const unit = head.querySelector(".unit").textContent;
    const aim = table.tFoot.querySelector(".target").cells[column];
    const target = read(aim);
    picture.setOption({
      animation: false,
      grid: { left: 64, right: 84, top: 24, bottom: 36 },
      tooltip: {
        trigger: "axis", renderMode: "richText",
        valueFormatter: (_value, row) => textOf(rows[row].cells[column]),
      },
      xAxis: { type: "category", data: rows.map((row) => row.cells[0].textContent), axisLabel: { hideOverlap: true } },
      yAxis: {
        type: "value", scale: true, name: unit, splitLine: { lineStyle: { color: "#ddd" } },
        axisLabel: { formatter: (value) => String(value).replace("-", "\u2212").replace(".", decimal) },
      },
      series: [{
        type: "line", name: choice.selectedOptions[0].textContent, data: rows.map((row) => read(row.cells[column])),
        connectNulls: false, symbol: "circle", symbolSize: 6, color: ink, lineStyle: { width: 2 },
        markLine: target === null ? { data: [] } : {
          symbol: "none", silent: true, data: [{ yAxis: target }],
          lineStyle: { type: "dashed", color: "#555" }, label: { formatter: said.replace("{value}", textOf(aim)) },
        },
      }],
    }, true);
  }

  const start = [...choice.options].find((option) => option.dataset.name === "overall_recovery");
  if (start) choice.value = start.value;
  choice.addEventListener("change", draw);
  addEventListener("resize", () => picture.resize());
  addEventListener("beforeprint", () => picture.resize());
  draw();
})();
