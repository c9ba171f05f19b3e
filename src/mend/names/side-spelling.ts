import {
  type NamedSide,
  type Side,
  type SideStyle,
  sideOfName,
} from '../../measure/names/sides.js';

/** A name taken apart at the word or letter that tells its side. */
export interface SpeltName extends NamedSide {
  readonly before: string;
  /** As written. */
  readonly token: string;
  readonly after: string;
}

/** How a rig writes sides: where, what stands between side and name, and in which case. */
export interface Spelling {
  readonly style: SideStyle;
  readonly separator: string;
  readonly casing: Casing;
}

type Casing = 'lower' | 'capital' | 'upper';

export function spell(name: string): SpeltName | null {
  const read = sideOfName(name);
  if (read === null) return null;
  const tokens = [...name.matchAll(/\p{Lu}+(?!\p{Ll})|\p{Lu}?[\p{Ll}\p{Lo}]+|\d+/gu)];
  const own = tokens.find(([token]) => /^(l|r|left|right)$/i.test(token));
  const found = own ?? /^(left|right)|(left|right)(?=\d*$)/i.exec(name);
  if (found === null) return null;
  const [token] = found;
  return {
    ...read,
    before: name.slice(0, found.index),
    token,
    after: name.slice(found.index + token.length),
  };
}

/** What most names of a style have between side and name, and their case. */
export function commonSpelling(names: readonly SpeltName[], style: SideStyle): Spelling {
  const own = names.filter((name) => name.style === style);
  const separators = own.map(({ before, after }) =>
    style.endsWith('first') ? leading(after) : trailing(before),
  );
  return { style, separator: most(separators) ?? '_', casing: most(own.map(casingOf)) ?? 'lower' };
}

/** The name without its side and what stood between the two. */
export function stemOf({ before, after }: Pick<SpeltName, 'before' | 'after'>): string {
  const [head, tail] = [
    before.slice(0, before.length - trailing(before).length),
    after.slice(leading(after).length),
  ];
  const joint = head !== '' && tail !== '' ? trailing(before) || leading(after) : '';
  return `${head}${joint}${tail}`;
}

/** The name in another spelling; null where it cannot be told which part goes where. */
export function respell(name: SpeltName, spelling: Spelling): string | null {
  const stem = stemOf(name);
  if (stem === '' || spelling.style.endsWith('within')) return null;
  const token = tokenOf(name.side, spelling);
  const join = (own: string): string =>
    spelling.style.endsWith('first')
      ? `${token}${spelling.separator}${own}`
      : `${own}${spelling.separator}${token}`;
  // Without a separator, a capital keeps the two apart.
  const tries = [join(stem), join(stem.charAt(0).toUpperCase() + stem.slice(1))];
  return (
    tries.find((made) => {
      const read = sideOfName(made);
      return read?.apart === true && read.side === name.side && read.style === spelling.style;
    }) ?? null
  );
}

/** The name of the other side, spelt alike. */
export function otherSide({ before, token, after, side }: SpeltName): string {
  const casing = casingOf({ token });
  const style = token.length === 1 ? 'letter-last' : 'word-last';
  return `${before}${tokenOf(side === 'left' ? 'right' : 'left', { style, casing })}${after}`;
}

/** Letters and numbers of a name without its side, for comparing two of a pair. */
export function bareStem({ before, after }: SpeltName): string {
  return `${before}${after}`.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '');
}

function tokenOf(side: Side, { style, casing }: Pick<Spelling, 'style' | 'casing'>): string {
  const word = style.startsWith('letter') ? side.charAt(0) : side;
  if (casing === 'lower') return word;
  return casing === 'upper' ? word.toUpperCase() : word.charAt(0).toUpperCase() + word.slice(1);
}

function casingOf({ token }: Pick<SpeltName, 'token'>): Casing {
  if (token === token.toLowerCase()) return 'lower';
  return token === token.toUpperCase() ? 'upper' : 'capital';
}

function leading(text: string): string {
  return /^[^\p{L}\p{N}]*/u.exec(text)?.[0] ?? '';
}

function trailing(text: string): string {
  return /[^\p{L}\p{N}]*$/u.exec(text)?.[0] ?? '';
}

/** The most frequent; of equals the one that came first. */
export function most<T>(values: readonly T[]): T | null {
  const counts = new Map<T, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0] ?? null;
}
