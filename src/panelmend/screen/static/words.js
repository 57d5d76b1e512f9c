// Words of the catalogue that scripts need; the page carries them.
const words = JSON.parse(document.body.dataset.words);

/** Words by key, with values put in where they name them. */
export function say(key, values = {}) {
  const text = words[`script.${key}`];
  if (text === undefined) throw new Error(`no words for ${key}`);
  return text.replace(/\{(\w+)\}/g, (_, name) => String(values[name]));
}
