// A second reckoning of server/domain/RULES.md in another language: it shares no code with the product, only its
// authors. Reads case documents, one a line, and writes for each what every line would come to if it were charged.
//
// Exact throughout: fractions of BigInt. Time zones come from Node's own ICU data, not from the product's.

import { createInterface } from "node:readline";

class Q {
  constructor(n, d = 1n) {
    if (d < 0n) [n, d] = [-n, -d];
    this.n = n;
    this.d = d;
  }
  static of(text) {
    const [, sign, whole, part = ""] = /^(-?)(\d+)(?:\.(\d+))?$/.exec(String(text));
    const n = BigInt(whole + part);
    return new Q(sign ? -n : n, 10n ** BigInt(part.length));
  }
  plus(o) { return new Q(this.n * o.d + o.n * this.d, this.d * o.d); }
  minus(o) { return new Q(this.n * o.d - o.n * this.d, this.d * o.d); }
  times(o) { return new Q(this.n * o.n, this.d * o.d); }
  over(o) { return new Q(this.n * o.d, this.d * o.n); }
  cmp(o) { const x = this.n * o.d - o.n * this.d; return x < 0n ? -1 : x > 0n ? 1 : 0; }
  get positive() { return this.n > 0n; }
  // Half away from zero, to a whole number.
  round() {
    const [n, neg] = this.n < 0n ? [-this.n, true] : [this.n, false];
    const r = (2n * n + this.d) / (2n * this.d);
    return Number(neg ? -r : r);
  }
}
const q = (n, d = 1) => new Q(BigInt(n), BigInt(d));
const ZERO = q(0);
const max = (a, b) => (a.cmp(b) >= 0 ? a : b);

const MILE = new Q(1609344n, 1000000n);
const convert = (value, from, to) => (from === to ? value : from === "mile" ? value.times(MILE) : value.over(MILE));

// d > 2 sqrt(sum a^2 / 3), both sides squared.
const exceeds = (d, halfWidths) => {
  const sum = halfWidths.reduce((s, a) => s.plus(a.times(a)), ZERO);
  return d.positive && q(3).times(d).times(d).cmp(q(4).times(sum)) > 0;
};

// Milliseconds of the wall clock of a zone, as if it were UTC.
const clocks = new Map();
function wall(instant, zone) {
  if (!clocks.has(zone)) clocks.set(zone, clock(zone));
  const p = Object.fromEntries(clocks.get(zone).formatToParts(new Date(instant)).map((x) => [x.type, Number(x.value)]));
  return Date.UTC(p.year, p.month - 1, p.day, p.hour, p.minute, p.second);
}
function clock(zone) {
  return new Intl.DateTimeFormat("en-GB", {
    timeZone: zone, hourCycle: "h23", year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit", second: "2-digit",
  });
}

const share = (level) =>
  level.gauge
    ? { value: q(level.gauge.part, level.gauge.of), a: q(1, 2 * level.gauge.of) }
    : { value: Q.of(level.percent.value).over(q(100)), a: Q.of(level.percent.half_width).over(q(100)) };

function reckon(c) {
  const t = c.tariff;
  const lines = [];
  const last = (leg, key) => c[leg].entries.filter((e) => e.checkpoint === key).at(-1)?.answer;
  const questions = c.template.stops.flatMap((s) => s.checkpoints ?? []);
  const asked = (kind, test = () => true) => questions.filter((p) => p.ask.kind === kind && test(p.ask));
  const both = (key) => [last("departure", key), last("return", key)];
  const due = Date.parse((c.hire.extensions ?? []).at(-1)?.agreed_return ?? c.hire.agreed_return);
  const days = Math.max(1, Math.ceil((wall(due, c.depot.zone) - wall(Date.parse(c.hire.agreed_departure), c.depot.zone)) / 86400000));
  const push = (key, minor) => lines.push([key, minor]);
  const baseline = (key, out, back) => {
    if (!out && back) push(key, 0);
    return out && back;
  };

  const od = asked("odometer")[0];
  if (od && t.distance) {
    const [out, back] = both(od.key);
    if (baseline("distance", out, back)) {
      const r = c.odometer_replacement;
      const v = (x) => convert(Q.of(x.value), x.unit, t.distance.unit);
      let driven = v(back).minus(v(out));
      if (r) driven = v({ value: r.old_last, unit: r.unit }).minus(v(out)).plus(v(back).minus(v({ value: r.new_first, unit: r.unit })));
      if (t.distance.allowance_per_day !== undefined) {
        const excess = driven.minus(Q.of(t.distance.allowance_per_day).times(q(days)));
        if (excess.positive) push("distance", excess.times(q(t.distance.rate.minor)).round());
      }
    }
  }

  if (t.lateness && c.return.handed_over_at) {
    const seconds = Math.floor((Date.parse(c.return.handed_over_at) - due) / 1000);
    if (seconds > t.lateness.grace_minutes * 60) {
      const day = Math.min(24 * t.lateness.hourly.minor, t.lateness.daily.minor);
      const rest = Math.min(Math.ceil((seconds % 86400) / 3600) * t.lateness.hourly.minor, t.lateness.daily.minor);
      push("lateness", Math.floor(seconds / 86400) * day + rest);
    }
  }

  const fuel = asked("fuel")[0];
  if (fuel && t.fuel) {
    const [out, back] = both(fuel.key);
    if (baseline("fuel", out, back)) {
      const [a, b] = [share(out.level), share(back.level)];
      const d = a.value.minus(b.value);
      if (exceeds(d, [a.a, b.a]))
        push("fuel", d.times(Q.of(c.vehicle.tank_litres)).times(q(t.fuel.per_litre.minor)).round() + t.fuel.refuelling_fee.minor);
    }
  }

  if (t.lpg && t.lpg.charge.by !== "included") {
    const pairs = asked("cylinder").map((p) => both(p.key)).filter(([o, b]) => o || b);
    if (pairs.some(([o]) => !o)) push("lpg", 0);
    else if (pairs.length && pairs.every(([o, b]) => o && b)) {
      const gas = (x) => Q.of(x.gross_kg).minus(Q.of(x.tare_kg));
      const sum = (f) => pairs.reduce((s, p) => s.plus(f(p)), ZERO);
      const [out, back] = [sum((p) => gas(p[0])), sum((p) => gas(p[1]))];
      const a = (x) => Q.of(x.half_width_kg);
      if (t.lpg.charge.by === "per_kilogram") {
        const used = out.minus(back);
        if (exceeds(used, pairs.flatMap((p) => p.map(a)))) push("lpg", used.times(q(t.lpg.charge.price.minor)).round());
      } else {
        const s = Q.of(t.lpg.charge.share);
        const short = s.times(sum((p) => Q.of(p[1].net_fill_kg))).minus(back);
        const wentLow = out.cmp(s.times(sum((p) => Q.of(p[0].net_fill_kg)))) < 0;
        if (exceeds(short, pairs.map((p) => a(p[1]))) && !wentLow) push("lpg", t.lpg.charge.price.minor);
      }
    }
  }

  const cassette = asked("cassette")[0];
  if (cassette && t.cassette) {
    const [out, back] = both(cassette.key);
    const empty = (x) => x.state === "empty" || x.state === "empty_rinsed";
    if (baseline("cassette", out, back) && empty(out) && !empty(back)) push("cassette", t.cassette.fee.minor);
  }
  const waste = asked("water", (a) => a.tank === "waste")[0];
  if (waste && t.waste_water) {
    const [out, back] = both(waste.key);
    if (baseline("waste_water", out, back) && out.drained && !back.drained) push("waste_water", t.waste_water.fee.minor);
  }
  for (const p of asked("cleanliness")) {
    const rule = (t.cleanliness ?? []).find((r) => r.area === p.ask.area);
    if (!rule) continue;
    const [out, back] = both(p.key);
    if (!baseline(`cleanliness.${p.ask.area}`, out, back)) continue;
    const at = (g) => rule.grades.findIndex((x) => x.key === g);
    const steps = at(back.grade) - at(out.grade);
    if (steps > 0) push(`cleanliness.${p.ask.area}`, steps * rule.fee_per_step.minor);
  }

  const onDay = new Date(wall(Date.parse(c.return.handed_over_at ?? c.return.signed_at ?? c.return.started_at), c.depot.zone));
  const counted = [...asked("keys").map((p) => [p.key, "keys"]), ...c.template.stops.flatMap((s) => s.inventory ?? []).map((i) => [i.key, i.key])];
  for (const [checkpoint, item] of counted) {
    const [out, back] = both(checkpoint);
    const price = t.inventory?.items.find((i) => i.item === item);
    if (!out || !back || !price || back.pieces >= out.pieces) continue;
    const bought = (c.vehicle.kit ?? []).find((k) => k.item === item)?.acquired;
    let worth = Q.of(price.floor);
    if (bought && price.service_life_months > 0) {
      const [y, m, d] = bought.split("-").map(Number);
      let months = (onDay.getUTCFullYear() - y) * 12 + onDay.getUTCMonth() + 1 - m;
      if (onDay.getUTCDate() < d) months -= 1;
      worth = max(worth, q(1).minus(q(Math.max(0, months), price.service_life_months)));
    }
    push(`inventory.${item}`, worth.times(q(out.pieces - back.pieces)).times(q(price.price.minor)).round());
  }

  damage(c, push);
  return lines;
}

function damage(c, push) {
  const t = c.tariff;
  const last = (leg, key) => c[leg].entries.filter((e) => e.checkpoint === key).at(-1)?.answer?.state;
  const wanted = [];
  for (const p of c.template.stops.flatMap((s) => s.checkpoints ?? []).filter((x) => x.ask.kind === "condition")) {
    const price = t.repair?.items.find((i) => i.checkpoint === p.key)?.price;
    const [out, back] = [last("departure", p.key), last("return", p.key)];
    if (price === undefined || !["needs_attention", "missing"].includes(back)) continue;
    if (out === undefined || out === "not_checked") wanted.push({ key: `repair.${p.key}`, price: 0 });
    else if (out === "in_order") wanted.push({ key: `repair.${p.key}`, price: price === "estimate" ? null : price.flat.minor });
  }
  const rule = t.damage;
  const panel = (key) => c.template.panels.find((p) => p.key === key);
  const outside = (m) => {
    const o = c.hire.outside_excess ?? {};
    return !!(o.kinds?.includes(m.kind) || o.panels?.includes(m.panel) || o.groups?.includes(panel(m.panel).group));
  };
  const band = (mm) => rule.size_bands.find((b) => b.up_to_mm === undefined || mm <= b.up_to_mm).key;
  const wear = (m, mm) => (rule.fair_wear ?? []).some((f) => f.kind === m.kind && mm <= f.up_to_mm);
  const cost = (m, mm) => {
    const p = rule.prices.find((x) => x.group === panel(m.panel).group && x.kind === m.kind && x.band === band(mm))?.price;
    return p === undefined || p === "estimate" ? null : p.flat.minor;
  };
  const signed = c.departure.signed_at && c.departure.signatures.some((s) => s.role === "hirer");
  if (rule) {
    for (const m of c.return.marks ?? []) {
      if (wear(m, m.size_mm)) continue;
      const photo = c.departure.photos.some(
        (p) => p.subject.of === "viewpoint" && p.subject.viewpoint === m.viewpoint && (!c.departure.signed_at || Date.parse(p.taken_at) <= Date.parse(c.departure.signed_at)),
      );
      wanted.push({ key: `mark.${m.id}`, price: signed || photo ? cost(m, m.size_mm) : 0, mark: m });
    }
    for (const s of c.return.sightings ?? []) {
      const m = c.register.find((x) => x.id === s.mark);
      if (s.size_mm <= m.size_mm || wear(m, s.size_mm)) continue;
      if (wear(m, m.size_mm)) {
        wanted.push({ key: `growth.${m.id}`, price: cost(m, s.size_mm), mark: m });
        continue;
      }
      if (band(m.size_mm) === band(s.size_mm)) continue;
      const [old, now] = [cost(m, m.size_mm), cost(m, s.size_mm)];
      if (old === null || now === null) wanted.push({ key: `growth.${m.id}`, price: null, mark: m });
      else if (now > old) wanted.push({ key: `growth.${m.id}`, price: now - old, mark: m });
    }
  }
  const room = {};
  let excess = c.hire.excess.minor;
  for (const w of wanted) {
    let left = w.price ?? 0;
    const refinish = w.mark && rule.refinish?.find((r) => r.group === panel(w.mark.panel).group)?.price.minor;
    if (refinish !== undefined && refinish !== false) {
      room[w.mark.panel] ??= refinish;
      left = Math.min(left, room[w.mark.panel]);
      room[w.mark.panel] -= left;
    }
    if (!(w.mark && outside(w.mark))) {
      left = Math.min(left, excess);
      excess -= left;
    }
    push(w.key, left);
  }
}

for await (const line of createInterface({ input: process.stdin })) {
  if (line.trim()) console.log(JSON.stringify(Object.fromEntries(reckon(JSON.parse(line)))));
}
