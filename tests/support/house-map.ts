import { readFileSync } from 'node:fs';
import type { Imports } from './source-imports.js';

/** One row of the map in DEVELOPERS.md. */
export interface Room {
  /** Folders, or files, that are the room: `src/asset`. */
  readonly places: readonly string[];
  /** Rooms that it may import from, itself left out; null for all. */
  readonly from: readonly string[] | null;
}

/** The map's rows, in their order. Throws for a row that cannot be read. */
export function readMap(path: URL): Room[] {
  const [, table = ''] = readFileSync(path, 'utf8').split(/^## /m);
  const rows = [...table.matchAll(/^\| (`.*?) +\|.*\| (.*?) +\|$/gm)];
  return rows.map(([, places = '', from = '']) => ({
    places: namesIn(places),
    from: from === 'everything' ? null : /^nothing/.test(from) ? [] : namesIn(from).map(placeOf),
  }));
}

function namesIn(cell: string): string[] {
  return [...cell.matchAll(/`([^`]+)`/g)].map(([, name = '']) => name);
}

/** The map calls `src/asset` by `asset` where it says who may import from it. */
function placeOf(name: string): string {
  return name === 'rules' ? name : `src/${name}`;
}

/** The room that a file is in. */
function roomOf(file: string, rooms: readonly Room[]): Room | undefined {
  const isIn = (place: string): boolean => file === place || file.startsWith(`${place}/`);
  return rooms.find(({ places }) => places.some(isIn));
}

/** What imports and map do not agree on, a line each: imports that it does not allow, and leave that nobody takes. */
export function disagreements(rooms: readonly Room[], imports: Imports): string[] {
  const lines: string[] = [];
  const taken = new Map(rooms.map((room) => [room, new Set<string>()]));
  for (const [file, others] of imports)
    for (const other of others) {
      const [here, there] = [roomOf(file, rooms), roomOf(other, rooms)];
      if (here === undefined || there === undefined)
        lines.push(`${file} or ${other} is in no room`);
      else if (here !== there) {
        const allowed = there.places.find((place) => here.from?.includes(place) ?? true);
        if (allowed === undefined) lines.push(`${file} must not import from ${other}`);
        else taken.get(here)?.add(allowed);
      }
    }
  for (const [{ places, from }, used] of taken)
    for (const place of from ?? [])
      if (!used.has(place)) lines.push(`${places.join(', ')} imports nothing from ${place}`);
  return lines;
}
