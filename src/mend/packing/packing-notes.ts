import { counted } from '../../report/finding-words.js';
import { DRACO } from '../json/packing.js';
import type { PackedAgain, Unpacked } from './packing-again.js';

interface Account {
  readonly unpacked: Unpacked;
  readonly again: PackedAgain;
  /** Whether packing again was not asked for. */
  readonly mayPack: boolean;
  /** Bytes; `left` are those that stay though nothing reads them any longer. */
  readonly growth: number;
  readonly left: number;
}

/** What a user has to know of packed data that a mend wrote to, in sentences without a full stop. */
export function packingNotes({ unpacked, again, mayPack, growth, left }: Account): string[] {
  const [packed, plain] = [partOf(unpacked, again, true), partOf(unpacked, again, false)];
  const size = sizeWords(growth);
  const notes: string[] = [];
  if (packed.count > 0)
    notes.push(
      `${packed.subject} ${packed.count === 1 ? 'was' : 'were'} changed and packed again ${packed.names}: ${size}`,
    );
  const unpackedWords = `${plain.subject} had to be unpacked ${plain.names}`;
  if (plain.count > 0 && mayPack)
    notes.push(
      `${unpackedWords}: ${size}; --pack packs ${plain.count === 1 ? 'it' : 'them'} again`,
    );
  else if (plain.count > 0)
    notes.push(
      `${unpackedWords}, and ${plain.count === 1 ? 'stays' : 'stay'} unpacked, because packing without loss would save nothing${notes.length === 0 ? `: ${size}` : ''}`,
    );
  if (left >= SMALLEST)
    notes.push(`${bytes(left)} stay in the file, but nothing uses them any more`);
  return notes;
}

/** Less is what alignment leaves. Bytes. */
const SMALLEST = 64;

/** The views and primitives that are packed again, or those that are not, in words. */
function partOf(
  { views, primitives }: Unpacked,
  again: PackedAgain,
  isPacked: boolean,
): { count: number; subject: string; names: string } {
  const part = [...views].filter(([view]) => again.views.has(view) === isPacked);
  const meshes = primitives.filter((found) => again.primitives.has(found) === isPacked).length;
  const subject = [
    ...(part.length > 0 ? [counted(part.length, 'packed accessor')] : []),
    ...(meshes > 0 ? [counted(meshes, 'packed primitive')] : []),
  ].join(' and ');
  const names = new Set<string>(part.map(([, { name }]) => name));
  if (meshes > 0) names.add(DRACO);
  return { count: part.length + meshes, subject, names: `(${[...names].join(', ')})` };
}

function sizeWords(growth: number): string {
  if (growth === 0) return 'the file keeps its size';
  return `the file ${growth > 0 ? 'grows' : 'shrinks'} by ${bytes(Math.abs(growth))}`;
}

function bytes(count: number): string {
  return `${count.toLocaleString('en-US')} ${count === 1 ? 'byte' : 'bytes'}`;
}
