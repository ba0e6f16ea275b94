// Texts in the reader's language: the English text is the key; the server keeps the catalogues.

let catalogue = {};
export let language = "en";

export async function speak(lang) {
  const answer = await fetch(`/api/words?lang=${encodeURIComponent(lang)}`);
  if (!answer.ok) return;
  catalogue = (await answer.json()).words;
  language = lang;
  document.documentElement.lang = lang;
}

export function t(text, values = {}) {
  const words = catalogue[text] || text;
  return words.replace(/\{(\w+)\}/g, (all, key) => (key in values ? String(values[key]) : all));
}

// Words of the job file in lists to choose from.
export const word = (value) => catalogue[value] || value;
