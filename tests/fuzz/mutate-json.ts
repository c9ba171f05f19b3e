import type { Draw } from './draw.js';
import { again, isLoose, type Loose, raw, setAt, spotsOf, valueAt } from './loose-json.js';
import { oddNumber, oddText, oddValue } from './odd-values.js';

/** Changes a document, or the buffer it tells of, in place; says what it did, null when nothing. */
export type AssetMutator = (draw: Draw, json: Loose, buffer: Uint8Array) => string | null;

/** Any value becomes another of any type. */
const swapValue: AssetMutator = (draw, json) => {
  const spot = draw.pick(spotsOf(json));
  setAt(spot, oddValue(draw));
  return `puts another value at ${String(spot.key)}`;
};

/** A number becomes another number, so that more gets past the types. */
const swapNumber: AssetMutator = (draw, json) => {
  const spots = spotsOf(json).filter((spot) => typeof valueAt(spot) === 'number');
  if (spots.length === 0) return null;
  const spot = draw.pick(spots);
  const old = Number(valueAt(spot));
  const value = draw.chance(0.5) ? oddNumber(draw) : old + draw.pick([-1, 1, 4, -4, 0.5, old, 16]);
  setAt(spot, value);
  return `puts ${String(value)} at ${String(spot.key)}, which was ${old}`;
};

const swapText: AssetMutator = (draw, json) => {
  const spots = spotsOf(json).filter((spot) => typeof valueAt(spot) === 'string');
  if (spots.length === 0) return null;
  const spot = draw.pick(spots);
  setAt(spot, oddText(draw));
  return `puts another text at ${String(spot.key)}`;
};

const drop: AssetMutator = (draw, json) => {
  const { holder, key } = draw.pick(spotsOf(json));
  if (Array.isArray(holder)) holder.splice(Number(key), 1);
  else delete holder[key];
  return `drops ${String(key)}`;
};

/** Two places of the document change their values. */
const exchange: AssetMutator = (draw, json) => {
  const spots = spotsOf(json);
  const [a, b] = [draw.pick(spots), draw.pick(spots)];
  const [x, y] = [valueAt(a), valueAt(b)];
  // Copies: a value put into itself would be no JSON.
  setAt(a, structuredClone(y));
  setAt(b, structuredClone(x));
  return `exchanges ${String(a.key)} and ${String(b.key)}`;
};

/** A key told twice; JSON leaves open which counts (RFC 8259, 4 Objects). */
const repeatKey: AssetMutator = (draw, json) => {
  const spots = spotsOf(json).filter(({ holder }) => isLoose(holder));
  if (spots.length === 0) return null;
  const { holder, key } = draw.pick(spots);
  // Only objects were kept, and an object's keys are texts.
  (holder as Loose)[again(String(key))] = oddValue(draw);
  return `tells ${String(key)} twice`;
};

/** Members that every object of the language has. */
const foreignKey: AssetMutator = (draw, json) => {
  const spots = spotsOf(json).filter((spot) => isLoose(valueAt(spot)));
  if (spots.length === 0) return null;
  const inner = valueAt(draw.pick(spots));
  const key = draw.pick(['__proto__', 'constructor', 'toString', 'length', 'toJSON']);
  if (isLoose(inner)) inner[again(key)] = draw.chance(0.5) ? raw('{"name":7}') : oddValue(draw);
  return `adds ${key}`;
};

export const JSON_MUTATORS = [
  swapValue,
  swapValue,
  swapNumber,
  swapNumber,
  swapText,
  drop,
  drop,
  exchange,
  repeatKey,
  foreignKey,
] as const;
