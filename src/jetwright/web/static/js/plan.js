// Draws openings of the bypass against the gauge, from the numbers that stand in the table beside it.
(() => {
  "use strict";

  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

  function draw(place) {
    const points = JSON.parse(place.dataset.points).sort((one, other) => one[0] - other[0]);
    if (points.length < 2 || place.clientWidth < 60) return;
    place.textContent = "";
    const axis = (label) => ({
      label, stroke: colour("--ink"), grid: { stroke: colour("--hair") }, ticks: { stroke: colour("--line") },
      font: "14px Hyperlegible, sans-serif", labelFont: "14px Hyperlegible, sans-serif", size: 60,
      values: (_plot, marks) => marks.map(String),
    });
    new uPlot({
      width: place.clientWidth, height: 240, cursor: { show: false }, legend: { show: false },
      scales: { x: { time: false }, y: { range: (_plot, _low, high) => [0, high * 1.08] } },
      axes: [axis(place.dataset.x), axis(place.dataset.y)],
      series: [{}, { stroke: colour("--water"), width: 3, points: { show: true, size: 9, fill: colour("--sheet"), width: 3 } }],
    }, [points.map((point) => point[0]), points.map((point) => point[1])], place);
  }

  const drawAll = () => document.querySelectorAll(".chart[data-points]").forEach(draw);
  let wait = 0;
  const later = () => { clearTimeout(wait); wait = setTimeout(drawAll, 100); };

  document.addEventListener("DOMContentLoaded", drawAll);
  document.addEventListener("htmx:afterSettle", later);
  addEventListener("resize", later);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", later);
})();
