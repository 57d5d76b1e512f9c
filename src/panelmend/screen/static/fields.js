// The fields beside the drawing: tried while one types, kept when the field is left or Enter is pressed.
const PAUSE = 300; // ms without a key before what is typed is tried

/** A field's key as messages write it: choice.heat.0.rate is choice.heat[1].rate. */
const spoken = key => key.replace(/\.(\d+)(?=\.|$)/g, (_, n) => `[${Number(n) + 1}]`);

export class Fields {
  constructor(beside, { attempt, keep }) {
    this.beside = beside;
    this.attempt = attempt;
    this.keep = keep;
    this.timer = 0;
    beside.addEventListener("input", e => this.typed(e));
    beside.addEventListener("change", e => this.left(e));
    beside.addEventListener("submit", e => e.preventDefault());
    beside.addEventListener("keydown", e => {
      if (e.key === "Enter" && e.target.matches("input")) e.target.blur();
    });
  }

  typed(e) {
    const field = e.target.closest("[data-field]");
    if (!field) return;
    clearTimeout(this.timer);
    const key = field.dataset.field, value = e.target.value;
    this.timer = setTimeout(() => this.attempt({ [key]: value }), PAUSE);
  }

  left(e) {
    const field = e.target.closest("[data-field]");
    if (!field) return;
    clearTimeout(this.timer);
    this.keep({ [field.dataset.field]: e.target.value });
  }

  /** Show what was refused beside the fields it is about; what is about no field here is returned. */
  refused(problem, typed) {
    const faults = problem.faults.length ? problem.faults : [{ ...problem, field: "", words: problem.title }];
    const keys = Object.keys(typed), rest = [];
    for (const fault of faults) {
      const key = keys.find(k => fault.field === spoken(k) || fault.field === k) ?? (keys.length === 1 ? keys[0] : null);
      const text = [fault.words, fault.read, fault.expected, fault.todo].filter(Boolean).join("; ");
      if (!key || !this.show(key, text)) rest.push(text);
    }
    return rest;
  }

  /** The fault of a field; "" takes it away. */
  show(key, text) {
    const field = this.beside.querySelector(`[data-field="${CSS.escape(key)}"]`);
    if (!field) return false;
    const fault = field.querySelector(".fault");
    fault.textContent = text;
    fault.hidden = !text;
    field.classList.toggle("bad", Boolean(text));
    field.querySelector("input, select, textarea").setAttribute("aria-invalid", text ? "true" : "false");
    return true;
  }

  /** How fields are read now, without touching what is being typed. */
  read(groups, readAs) {
    for (const f of groups.flatMap(g => g.fields)) {
      const field = this.beside.querySelector(`[data-field="${CSS.escape(f.key)}"]`);
      if (field && f.read_as) field.querySelector(".note").textContent = readAs(f.read_as);
    }
  }
}
