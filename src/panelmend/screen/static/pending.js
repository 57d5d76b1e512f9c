// Fields that were typed and are not acknowledged yet: they outlive the page and the server.
export class Pending {
  constructor(repair) {
    this.name = `panelmend fields ${repair}`;
  }

  all() {
    try {
      return JSON.parse(localStorage.getItem(this.name) ?? "{}");
    } catch {
      return {};
    }
  }

  put(typed) {
    const at = new Date().toISOString(), all = this.all();
    for (const [key, value] of Object.entries(typed)) all[key] = { value, at };
    localStorage.setItem(this.name, JSON.stringify(all));
  }

  drop(typed) {
    const all = this.all();
    for (const [key, value] of Object.entries(typed)) if (all[key]?.value === value) delete all[key];
    if (Object.keys(all).length) localStorage.setItem(this.name, JSON.stringify(all));
    else localStorage.removeItem(this.name);
  }

  /** What is kept, as it was typed, and since when. */
  get typed() {
    return Object.fromEntries(Object.entries(this.all()).map(([key, { value }]) => [key, value]));
  }

  get since() {
    return Object.values(this.all()).map(v => v.at).sort()[0];
  }
}
