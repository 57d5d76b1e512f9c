"""Questions about one member that let any other go on, one by one, and why that is safe."""

from __future__ import annotations

NOTHING = "of this one there is nothing to do or to ask; any other is worked on in full"
OWN = "only this member has what is asked or limited here; what another may need has a place of its own"
REFUSED = "another raises where this is planned: by operations_of, scheme_of, Form.outline, law_of or a table"
DEPTH = "Damage.through and .cored raise for any other depth before plies and card are made"
INSIDE = "the member is made a few lines or a stage before by our own code, never typed"
ASKS_MORE = "any other is taken the way that asks, counts or refuses more"
DRAWN = "only how it is drawn or worded"
RATIO = "a bare number is a ratio; every other kind has units"
TAP = "a tap is dull or sound, every other reading is a number; pass_readings raises for an unknown kind"
SHELF = "only this shelf has what is asked here; an entry on no shelf is refused when it is read"
ROLE = "a column's role has a kind by KIND_OF, which raises for any other"
TWO = "there are two sides; the third member of another field's type is not meant here"
SEGMENT = "RAMP, DWELL and COOL: walk and judging raise for any other segment before a rule is asked"
OUTCOME = (
    "what does not conform stays as it is; an outcome that nobody knows does not become one that conforms"
)

LET_GO: dict[tuple[str, str], str] = {}


def _of(why: str, rows: str) -> None:
    for row in rows.strip().splitlines():
        file, question = row.strip().split("  ", 1)
        LET_GO[file, question] = why


_of(
    NOTHING,
    """
    app/shelf_hold.py  shelf == 'stores'
    document/crossed/whole.py  cure.heated_by != 'room temperature'
    document/crossed/work.py  cure.heated_by == 'room temperature'
    document/faults/plies.py  damage.depth == 'surface'
    document/interview.py  depth == 'surface'
    job/bag/heat_checks.py  bag.cure.heated_by == 'room temperature'
    job/bag/sensors.py  cure.heated_by == 'room temperature'
    job/card/apart.py  work.core.action == 'none'
    job/card/bench.py  self.work.core.action != 'none'
    job/card/checks.py  core.action == 'none'
    job/card/taken.py  work.core.action == 'none'
    job/core/checks.py  part.action == 'none'
    job/core/make.py  action == 'none'
    job/cure/wet.py  case.document.damage.moisture == 'none found'
    job/drying/part.py  self.moisture != 'none found'
    job/kit/drying.py  basis.case.document.damage.moisture != 'none found'
    job/kit/lines.py  pressed.by == 'nothing'
    job/kit/mixing.py  core.action == 'none'
    job/limits/make.py  case.document.damage.depth == 'surface'
    job/openings.py  core.action == 'none'
    plan/asked.py  damage.depth == 'surface'
    plan/left_open.py  cure.heated_by == 'room temperature'
    """,
)
_of(
    DEPTH,
    """
    job/card/apart.py  depth == 'through'
    job/card/apart.py  depth in ('surface', 'plies')
    """,
)
_of(
    OWN,
    """
    app/records_stores.py  line.group in ('tools', 'instruments', 'equipment', 'protection')
    document/crossed/fill.py  core.fibre != 'foam'
    document/crossed/panel.py  name == 'sanding'
    document/crossed/panel.py  part.kind not in ('rib', 'spar')
    document/crossed/work.py  kinetics.law != 'reference time'
    document/crossed/work.py  s.kind != 'dwell'
    document/faults/cures.py  segment.kind != 'dwell'
    document/faults/thermal.py  material.use == 'insulation'
    document/faults/ways.py  cure.pressed.by in UNLOADED
    document/model.py  self.what in AFRESH
    job/bag/checks.py  other.kind != 'support'
    job/bag/heat_checks.py  bag.cure.heated_by != 'blanket'
    job/bag/heat_checks.py  bag.cure.heated_by != 'oven'
    job/card/apart.py  case.catalogue.core(core).fibre != 'aluminium'
    job/card/apart.py  self.kind == 'skin'
    job/card/drying.py  part.moisture != 'found'
    job/card/restored.py  t.kind in SPOTS
    job/clearances.py  self.kind == 'spot'
    job/drying/checks.py  case.document.damage.moisture != 'found'
    job/drying/checks.py  part.moisture != 'found'
    job/drying/skins.py  basis.case.document.damage.moisture != 'found'
    job/layup.py  damage.depth == 'plies'
    job/openings.py  bag.behind.kind != 'support'
    job/plies/curved_around.py  neighbour.kind == 'spot'
    job/survey/doubts.py  sweep.kind != 'moisture'
    job/survey/readings.py  part.kind == 'moisture'
    physics/film.py  Facing(facing) is Facing.SIDE
    plan/asked.py  damage.depth != 'plies'
    plan/judge/approved.py  s.kind != 'dwell'
    plan/judge/judging.py  r.rule == RuleName.GLASS
    records/rules/named.py  blank.names == 'instruments'
    """,
)
_of(
    REFUSED,
    """
    job/bag/make.py  pressed.by != 'weights'
    job/card/pressed.py  bag.cure.pressed.by in LOADED
    job/core/checks.py  plies.scheme == 'scarf'
    job/cure/ply_inputs.py  laid.plies.scheme != 'scarf'
    job/forms.py  form == 'circle'
    job/forms.py  form in ('circle', 'ellipse')
    job/forms.py  self.form == 'circle'
    job/kit/lines.py  layer.use in NOT_CUT
    job/kit/lines.py  pressed.by == 'contact'
    job/plies/cure.py  form.form == 'circle'
    job/strength/as_laid.py  self.plies.scheme != 'scarf'
    job/strength/flush.py  lay.plies.scheme == 'scarf'
    job/strength/own.py  what is Ability.CRUSHING
    physics/sandwich/modes.py  form is Wrinkling.SOLID_DESIGN
    physics/sandwich/modes.py  form is Wrinkling.SOLID_THEORY
    plan/again/holding.py  form.form == 'circle'
    shelves/outlines.py  form == 'circle'
    """,
)
_of(
    INSIDE,
    """
    job/card/part.py  self.warm is not WarmAir.UNTOLD
    job/card/warm_air.py  clock.warm is WarmAir.UNTOLD
    job/card/warm_air.py  clock.warm not in (WarmAir.UNTOLD, WarmAir.TOLD)
    job/core/make.py  action == 'pot'
    job/cure/core_inputs.py  laid.core.action != 'replace'
    job/cure/potting_inputs.py  laid.core.action != 'pot'
    job/cure/potting_inputs.py  part in POTTING
    job/limits/checks.py  reason.kind == 'allowable size'
    predict/sensors.py  role == 'coldest'
    predict/sensors.py  role == 'hottest'
    records/doing/sheet.py  b.mark in part.AHEAD
    """,
)
_of(
    ASKS_MORE,
    """
    job/card/heating.py  found.outlook is Outlook.BREAKS
    job/cure/core_inputs.py  material.fibre == 'foam'
    job/card/writing.py  self is not Bound.RECORD
    job/put_back.py  kind == 'edge band'
    plan/judge/lost.py  r.outcome != Outcome.CONFORMS
    plan/judge/lost.py  r.outcome != Outcome.UNKNOWN
    plan/judge/lost.py  r.rule == RuleName.ENTRY
    plan/sharing.py  group in SERVES
    plan/sharing.py  self.group in SERVES
    shapes/chords.py  side == 'nearest'
    """,
)
_of(
    DRAWN,
    """
    job/card/curing.py  s.kind != 'dwell'
    render/bench.py  bag.cure.heated_by != 'room temperature'
    render/cure_chart.py  t.role in TEMPERATURES
    render/cure_outcome.py  outlook is Outlook.HOLDS
    render/cure_rows.py  kind == 'time'
    render/cure_rows.py  row.kind == 'time'
    render/cure_rows.py  sensor.role == 'check'
    render/planner.py  severity in TOLD
    render/views/bag.py  x.use not in APART
    render/views/heat_traces.py  c.kind in BOND
    render/views/layup.py  ply.role == 'fill'
    screen/beside.py  o.form != 'circle'
    screen/cure_chart.py  s.segment.kind is not SegmentKind.DWELL
    screen/cure_seen.py  c.role not in (ChannelRole.THERMOCOUPLE, ChannelRole.VACUUM, ChannelRole.SET_POINT)
    screen/cure_seen.py  segment.kind is SegmentKind.DWELL
    screen/pages_kit.py  line.group in STORED
    """,
)
_of(
    RATIO,
    """
    app/changing.py  kind == 'ratio'
    document/typed_out.py  kind == 'ratio'
    render/workings.py  figure.kind == 'ratio'
    shelves/csv_table.py  kind != 'ratio'
    units/reading.py  kind == 'ratio'
    """,
)
_of(
    TAP,
    """
    app/surveys.py  p.kind != 'tap'
    app/surveys.py  table.proposal.kind not in ('time', 'ratio')
    survey/table.py  p.kind == 'tap'
    survey/table.py  self.proposal.kind == 'tap'
    """,
)
_of(
    SHELF,
    """
    app/pack_beside.py  shelf in HELD
    app/shelf_fields.py  shelf not in BY_FORM
    app/shelf_verbs.py  head.shelf == 'materials'
    screen/api_shelf_fields.py  shelf not in BY_FORM
    screen/pages_shelves.py  made.head.shelf == 'stores'
    shelves/checks.py  head.shelf == 'stores'
    shelves/packed_with.py  e.shelf in TOLD
    shelves/parts.py  entry.head.shelf == 'data'
    """,
)
_of(
    ROLE,
    """
    curelog/live/buffer.py  self.role is ChannelRole.VACUUM
    curelog/live/buffer.py  self.role is not ChannelRole.POWER
    curelog/live/buffer.py  self.sense == 'absolute'
    curelog/questions.py  c.role in _HOT
    curelog/questions.py  role in _HOT
    curelog/questions.py  role_by_name(was.name) in _HOT
    curelog/readas.py  c.role is ChannelRole.VACUUM
    curelog/readas.py  c.sense == 'absolute'
    curelog/readas.py  self.role is not ChannelRole.POWER
    curelog/roles.py  by_name is not ChannelRole.SET_POINT
    curelog/roles.py  sense == 'below ambient'
    """,
)
_of(
    TWO,
    """
    job/card/directions.py  work.cutout.side == 'outside'
    job/case.py  side == 'outside'
    job/curved.py  side == 'outside'
    """,
)
_of(
    SEGMENT,
    """
    plan/judge/stays.py  s.segment.kind is not SegmentKind.DWELL
    plan/judge/alarms.py  segment.kind is SegmentKind.COOL
    plan/judge/aside.py  s.segment.kind is not SegmentKind.DWELL
    plan/judge/judging.py  s.segment.kind is not SegmentKind.DWELL
    plan/judge/report.py  s.kind is not SegmentKind.DWELL
    plan/judge/rules_still.py  s.segment.kind is not SegmentKind.DWELL
    plan/judge/standing.py  s.segment.kind is not SegmentKind.DWELL
    plan/judge/standing.py  segment.kind is not SegmentKind.DWELL
    plan/judge/unjudged.py  now.segment.kind is SegmentKind.COOL
    plan/judge/walk.py  segment.kind is SegmentKind.DWELL
    plan/judge/watch.py  segment.kind is SegmentKind.COOL
    plan/judge/watch.py  segment.kind is SegmentKind.DWELL
    """,
)
_of(
    OUTCOME,
    """
    plan/judge/doubt.py  r.outcome is not Outcome.DOES_NOT
    plan/judge/judging.py  r.outcome is not Outcome.CONFORMS
    plan/judge/rules_dwell.py  outcome is not Outcome.CONFORMS
    plan/judge/rules_rate.py  outcome is Outcome.CONFORMS
    plan/judge/rules_release.py  out is Outcome.CONFORMS
    plan/judge/verdict.py  outcome is not Outcome.CONFORMS
    plan/judge/verdict.py  self.outcome is not Outcome.CONFORMS
    """,
)
_of(
    "only thermocouples and gauges have limits that a row left out is held against",
    """
    curelog/broken.py  c.role in HELD
    curelog/build.py  column.role in HELD
    """,
)
_of(
    "any other outcome is entered as the rule itself finds it",
    """
    plan/judge/rules_vacuum.py  whole is not Outcome.DOES_NOT
    """,
)
