"""Where the sources put things in order by words, or heap them up by words, and why that decides nothing."""

from __future__ import annotations

from word_reasons import ALREADY, BOUND, FILE, GROUPED, ONCE, PRINTED, SET, STATE, STEP, TIE

ORDERED_BY_WORDS = {
    ("app/kept_answers.py", "sorted(((e.name, e.is_dir(), e.is_symlink()) for e in found))"): STATE,
    ("app/kept_answers.py", "sorted(os.scandir(folder), key=lambda e: e.name)"): STATE,
    ("app/kept_answers.py", "sorted(os.scandir(here), key=lambda e: e.name)"): STATE,
    ("app/log_answers.py", "sorted(known)"): PRINTED,
    ("app/logs.py", "sorted(known)"): PRINTED,
    ("app/records_shop.py", "class Due: what"): PRINTED,
    ("app/telling.py", "(f.code, f.words) in o"): ALREADY,
    ("app/telling.py", "(f.code, f.words) not in elsewhere"): ALREADY,
    ("app/telling.py", "{(f.code, f.words) for f in common}"): ALREADY,
    ("app/telling.py", "{(f.code, f.words) for f in p.findings}"): ALREADY,
    ("document/reader.py", "said.setdefault((path, error.words), (path, error))"): ONCE,
    (
        "document/reader.py",
        "sorted(said.values(), key=lambda f: locator.place(f[0])[:2])",
    ): "by line and column of the document, for people to read",
    ("job/card/order.py", "class Place: id"): STEP,
    (
        "job/nest/shelf.py",
        "sorted(copies, key=lambda c: (*order(c), c.piece.id, c.number))",
    ): "pieces alike in size, by the number that our own code gives them",
    (
        "materials/catalogue.py",
        "sorted(resources.files('panelmend.materials').joinpath('tables').iterdir(), key=lambda e: e.name)",
    ): FILE,
    ("photo/table.py", "sorted({i for i in ids if ids.count(i) > 1})"): PRINTED,
    (
        "physics/thermocouple/faults.py",
        "sorted((f for f in faults if f.away <= within), key=lambda f: (f.away, f.words))",
    ): TIE,
    ("plan/again/compare.py", "sorted((p.id for p in strange))"): PRINTED,
    ("plan/again/same.py", "sorted(((m.id, m.material) for m in mixes if m.operation == name))"): BOUND,
    ("plan/judge/aside.py", "sorted(names)"): PRINTED,
    ("plan/judge/aside.py", "sorted(weighed)"): PRINTED,
    ("plan/judge/log.py", "sorted(names)"): PRINTED,
    ("plan/make.py", "sorted(found, key=lambda f: (_WEIGHT[f.severity], f.code, f.place, f.words))"): PRINTED,
    ("plan/several.py", "(f.code, f.place, f.words) not in mine"): ALREADY,
    ("plan/several.py", "{(f.code, f.place, f.words) for f in plan.findings}"): ALREADY,
    (
        "predict/advice.py",
        "gained.sort(key=lambda p: (not p[1].holds, p[0].field.count('; '), -p[1].worst, p[0].words))",
    ): TIE,
    (
        "predict/advice.py",
        "told.setdefault(change.words, (change, t))",
    ): "changes that read the same are one to the reader: the better one stays, by what it gains",
    ("predict/changes.py", "sorted({n for n in names if names.count(n) > 1})"): PRINTED,
    ("predict/counting.py", "together.get(unknown.words, np.zeros(4))"): SET,
    ("predict/counting.py", "together[unknown.words]"): SET,
    ("records/book/jobs.py", "sorted({state.people[w].name for w in held.workers})"): PRINTED,
    ("records/package/check_signed.py", "sorted(what)"): PRINTED,
    ("records/package/form.py", "sorted(files)"): STATE,
    ("records/package/make.py", "sorted(files)"): STATE,
    ("records/rules/ending.py", "sorted(did)"): PRINTED,
    ("render/card.py", "(step.operation, c.words) in told"): ONCE,
    ("render/card.py", "told.add((step.operation, c.words))"): ONCE,
    ("render/planner.py", "whose.setdefault(lack.what, [])"): GROUPED,
    (
        "render/strength_tables.py",
        "dict.fromkeys(((o.what, o.side, o.condition) for o in rows))",
    ): "a member of an enum, with its side and condition: one line each",
    ("render/templates.py", "sorted({i for i in ids if ids.count(i) > 1})"): PRINTED,
    ("screen/pages_compare.py", "(f.code, f.place, f.words) not in there"): ALREADY,
    ("screen/pages_compare.py", "{(f.code, f.place, f.words) for f in other.findings}"): ALREADY,
    (
        "screen/pages_damages.py",
        "rows.setdefault((f.code, f.words), {'item': found_item(f, None), 'of': []})",
    ): GROUPED,
    ("screen/pages_heat.py", "(f.code, f.place, f.words) not in stands"): ALREADY,
    ("screen/pages_heat.py", "{(f.code, f.place, f.words) for f in tried.now.findings}"): ALREADY,
    (
        "screen/workshop.py",
        "sorted((p.parent.name for p in self.repairs_folder.glob(f'*/{DOCUMENT}')))",
    ): PRINTED,
    ("screen/workshop.py", "sorted({n for n in found if NAME.fullmatch(n)})"): PRINTED,
    ("shelves/csv_table.py", "sorted(places)"): PRINTED,
}
