// Fields that were typed and are not acknowledged yet: they outlive the page and the server. Each is kept under a name
// of its own with what stood in the field before, so that nothing is put over what somebody else wrote meanwhile.
export class Pending {
  /** Of a repair and of one of its pages: what was typed on another goes to neither. */
  constructor(repair, page = "field") {
    this.prefix = `panelmend ${page} ${repair} `;
  }

  all() {
    try {
      return Object.fromEntries(
        Object.keys(localStorage).filter(k => k.startsWith(this.prefix)).map(k => [k.slice(this.prefix.length), JSON.parse(localStorage.getItem(k))]),
      );
    } catch {
      return {};
    }
  }

  put(typed, before) {
    const at = new Date().toISOString(), there = this.all();
    for (const [key, value] of Object.entries(typed)) {
      const item = { value, at: there[key]?.at ?? at, before: there[key]?.before ?? before(key) };
      try {
        localStorage.setItem(this.prefix + key, JSON.stringify(item));
      } catch {
        return; // a device that keeps nothing: it is sent, and the field still holds it
      }
    }
  }

  drop(typed) {
    for (const [key, value] of Object.entries(typed)) if (this.all()[key]?.value === value) localStorage.removeItem(this.prefix + key);
  }

  /** What is kept, as it was typed, and since when. */
  get typed() {
    return Object.fromEntries(Object.entries(this.all()).map(([key, { value }]) => [key, value]));
  }

  get since() {
    return Object.values(this.all()).map(v => v.at).sort()[0];
  }
}
