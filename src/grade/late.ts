import { UsageError } from '../asset/errors.js';
import { counted } from '../report/finding-words.js';

const FORM = /^(\d{4})-(\d\d)-(\d\d)(?:T(\d\d):(\d\d)(?::(\d\d))?(Z|[+-]\d\d:\d\d)?)?$/;
const DAY_MS = 86_400_000;

/**
 * The moment until which a class may hand in: `2026-03-01T18:00`, in the time of this machine unless a
 * zone is given; a day alone ends with its last moment. Throws UsageError.
 */
export function dueDate(text: string): Date {
  const match = FORM.exec(text.trim());
  const wrong = (): UsageError =>
    new UsageError(
      `--due "${text.slice(0, 40)}" is not a date; write it as 2026-03-01 or 2026-03-01T18:00, with Z or +01:00 behind it for another time zone`,
    );
  if (match === null) throw wrong();
  const [, year, month, day, hour, minute, second = '00', zone = ''] = match;
  const asUtc = new Date(`${year}-${month}-${day}T00:00:00Z`);
  // Some engines take the 30th of February for a day in March.
  if (Number.isNaN(asUtc.getTime()) || asUtc.getUTCDate() !== Number(day)) throw wrong();
  const time = hour === undefined ? '23:59:59.999' : `${hour}:${minute}:${second}`;
  const due = new Date(`${year}-${month}-${day}T${time}${zone}`);
  if (Number.isNaN(due.getTime())) throw wrong();
  return due;
}

/** By how much it is late, in ms; 0 where it is not, or nobody can tell. */
export function lateBy(handedIn: Date | null, due: Date | null): number {
  return handedIn === null || due === null ? 0 : Math.max(0, handedIn.getTime() - due.getTime());
}

/** `2 days 4 hours`, `3 hours 10 minutes`, `5 minutes`, `less than a minute`. */
export function lateWords(ms: number): string {
  const minutes = Math.floor(ms / 60_000);
  if (minutes === 0) return 'less than a minute';
  const [days, hours] = [Math.floor(ms / DAY_MS), Math.floor(minutes / 60) % 24];
  const parts: [number, string][] =
    days > 0
      ? [
          [days, 'day'],
          [hours, 'hour'],
        ]
      : [
          [hours, 'hour'],
          [minutes % 60, 'minute'],
        ];
  return parts.flatMap(([count, noun]) => (count > 0 ? [counted(count, noun)] : [])).join(' ');
}
