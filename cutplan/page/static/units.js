// Lengths for people: millimetres, or inches to the nearest sixty-fourth with the millimetres beside them.

import { job } from "/files/store.js";

const gcd = (a, b) => (b ? gcd(b, a % b) : a);

export function inches(mm) {
  const parts = Math.round((Math.abs(mm) / 25.4) * 64);
  const whole = Math.floor(parts / 64);
  const rest = parts % 64;
  const sign = mm < 0 && parts ? "-" : "";
  if (!rest) return `${sign}${whole}`;
  const d = gcd(rest, 64);
  return `${sign}${whole ? `${whole} ` : ""}${rest / d}/${64 / d}`;
}

export const metric = (mm, digits = 1) => {
  const text = mm.toFixed(digits);
  return Number(text) === 0 ? (0).toFixed(digits) : text;
};

export const shown = () => (job.display === "in" || job.data?.units === "in" ? "in" : "mm");

export function length(mm, digits = 1) {
  if (mm === null || mm === undefined) return "–";
  return shown() === "in" ? `${inches(mm)} in (${metric(mm, digits)} mm)` : `${metric(mm, digits)} mm`;
}

export const short = (mm) => (shown() === "in" ? `${inches(mm)}"` : metric(mm, Math.abs(mm) < 100 ? 1 : 0));
export const step = () => (shown() === "in" ? 25.4 / 16 : 1);
