import { DRACO } from '../json/packing.js';
import type { PackedAgain, Unpacked } from './packing-again.js';

interface Account {
  readonly unpacked: Unpacked;
  readonly again: PackedAgain;
  /** Whether packing again was not asked for. */
  readonly mayPack: boolean;
  /** Bytes. */
  readonly growth: number;
  /** Bytes that nothing reads any longer, and that stay. */
  readonly left: number;
}

/** What a user is to know of packed data that a mend wrote to, in sentences without a full stop. */
export function packingNotes({ unpacked, again, mayPack, growth, left }: Account): string[] {
  const { views, primitives } = unpacked;
  const packed = partOf(unpacked, again);
  const plain = {
    views: new Map([...views].filter(([view]) => !again.views.has(view))),
    primitives: primitives.filter((item) => !again.primitives.has(item)),
  };
  const size = sizeWords(growth);
  const notes: string[] = [];
  if (countOf(packed) > 0)
    notes.push(`${told(packed)} changed and packed again ${namesOf(packed)}: ${size}`);
  if (countOf(plain) > 0 && mayPack)
    notes.push(
      `${subject(plain)} had to be unpacked ${namesOf(plain)}: ${size}; --pack packs ${countOf(plain) === 1 ? 'it' : 'them'} again`,
    );
  else if (countOf(plain) > 0)
    notes.push(
      `${subject(plain)} had to be unpacked ${namesOf(plain)}, and ${countOf(plain) === 1 ? 'stays' : 'stay'} unpacked, because packing without loss would save nothing${notes.length === 0 ? `: ${size}` : ''}`,
    );
  if (left >= SMALLEST)
    notes.push(`${bytes(left)} stay in the file, but nothing uses them any more`);
  return notes;
}

/** Less is what alignment leaves. Bytes. */
const SMALLEST = 64;

type Part = Pick<Unpacked, 'views' | 'primitives'>;

function partOf({ views, primitives }: Unpacked, again: PackedAgain): Part {
  return {
    views: new Map([...views].filter(([view]) => again.views.has(view))),
    primitives: primitives.filter((item) => again.primitives.has(item)),
  };
}

function countOf({ views, primitives }: Part): number {
  return views.size + primitives.length;
}

function subject({ views, primitives }: Part): string {
  const words = [
    ...(views.size > 0
      ? [`${views.size} packed ${views.size === 1 ? 'accessor' : 'accessors'}`]
      : []),
    ...(primitives.length > 0
      ? [`${primitives.length} packed ${primitives.length === 1 ? 'primitive' : 'primitives'}`]
      : []),
  ];
  return words.join(' and ');
}

function told(part: Part): string {
  return `${subject(part)} ${countOf(part) === 1 ? 'was' : 'were'}`;
}

function namesOf({ views, primitives }: Part): string {
  const names = new Set<string>([...views.values()].map(({ name }) => name));
  if (primitives.length > 0) names.add(DRACO);
  return `(${[...names].join(', ')})`;
}

function sizeWords(growth: number): string {
  if (growth === 0) return 'the file keeps its size';
  return `the file ${growth > 0 ? 'grows' : 'shrinks'} by ${bytes(Math.abs(growth))}`;
}

function bytes(count: number): string {
  return `${count.toLocaleString('en-US')} ${count === 1 ? 'byte' : 'bytes'}`;
}
