import { type TaskLimits, tooMuchMemory, type Verb } from './task-limits.js';

/** A worker process that ended instead of answering, as far as that is known. */
export interface LostWorker {
  /** Null where a signal ended it. */
  readonly code: number | null;
  readonly signal: string | null;
  /** What it wrote on standard error. */
  readonly stderr: string;
}

/** What the library's message says of a worker that ended; null for a message of anything else. */
export function lostWorker(message: string, stderr: string): LostWorker | null {
  const [, code] = /exitCode: `(\d+|null)`/.exec(message) ?? [];
  const [, signal] = /signalCode: `(\w+)`/.exec(message) ?? [];
  if (code === undefined || signal === undefined) return null;
  return {
    code: code === 'null' ? null : Number(code),
    signal: signal === 'null' ? null : signal,
    stderr,
  };
}

/** How the engine says that the heap has no room left, just before it aborts. */
const HEAP_FULL = /^FATAL ERROR: .*heap out of memory/m;
/** How it says that the system gave it no memory for its own needs. */
const SYSTEM_FULL = /^#?\s*Fatal process (OOM|out of memory)/m;
/** Signals by which the system ends a process for what it did itself. */
const CRASHES: readonly string[] = ['SIGABRT', 'SIGSEGV', 'SIGBUS', 'SIGILL', 'SIGTRAP', 'SIGFPE'];
/** The code of a process that called `abort()` where there are no signals. */
const ABORT_CODE = 134;

/** Whether it ended for want of memory within its limit: the asset takes too much, and would again. */
export function isHeapFull({ stderr }: LostWorker): boolean {
  return HEAP_FULL.test(stderr);
}

/** Why an asset could not be checked, or mended, whose worker was lost, as far as that is known. */
export function lostReason(
  lost: LostWorker,
  { mebibytes }: TaskLimits,
  verb: Verb = 'check',
): string {
  if (isHeapFull(lost)) return tooMuchMemory(mebibytes, verb);
  const { code, signal, stderr } = lost;
  if (SYSTEM_FULL.test(stderr))
    return `the system had no memory left to ${verb} it, in two attempts; ${verb} fewer files at once with --workers`;
  if (signal === 'SIGKILL')
    return `the process that ${verb}s it was killed twice (SIGKILL) by the system or by a person. Systems do this when memory runs out: try fewer --workers`;
  if (code === ABORT_CODE || (signal !== null && CRASHES.includes(signal)))
    return `the process that ${verb}s it crashed twice (${signal ?? `exit code ${code}`}), because of a fault in trysquare or Node.js; please report it, together with the file`;
  const how = signal === null ? `with exit code ${code}` : `by the signal ${signal}`;
  return `the process that ${verb}s it ended twice ${how}, and gave no reason; ${verb} the file again`;
}
