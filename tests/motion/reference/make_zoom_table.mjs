// Prints zoom_table.csv: views along d3-interpolate's interpolateZoom, an implementation of van Wijk & Nuij (2003).
//
// In an empty folder outside the repository:
//   npm install d3-interpolate@3.0.2
//   cp .../tests/motion/reference/make_zoom_table.mjs . && node make_zoom_table.mjs > zoom_table.csv
//
// `length` is the path's S; d3 gives it as a duration, |S| * 1000 * rho / sqrt(2) ms.
import {interpolateZoom} from "d3-interpolate";

const moves = [
  [[0, 0, 1000], [4000, 0, 1000]],
  [[1200, 900, 1920], [4800, 3100, 1920]],
  [[3000, 2000, 7111], [1700, 1075, 2400]],
  [[1700, 1075, 2400], [3000, 2000, 7111]],
  [[3000, 2000, 6000], [3000, 2000, 1920]],
  [[500, 500, 1920], [500, 500, 3840]],
  [[100.25, 7000.5, 3840], [9000.75, 20.125, 4100]],
  [[2000, 1500, 3000], [2003, 1499, 2990]],
];
const rhos = [Math.SQRT2, 1, 2];
const places = [0, 0.125, 0.5, 0.8, 1];

console.log("rho,x0,y0,w0,x1,y1,w1,length,t,x,y,w");
for (const rho of rhos) {
  for (const [start, end] of moves) {
    const at = interpolateZoom.rho(rho)(start, end);
    const length = at.duration * Math.SQRT2 / (1000 * rho);
    for (const t of places) console.log([rho, ...start, ...end, length, t, ...at(t)].join(","));
  }
}
