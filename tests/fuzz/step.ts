import type { Settings } from '../../src/check/settings.js';
import type { Mutant } from './mutant.js';

/** A mutant as it lies on the disk, as commands find it. */
export interface Subject {
  readonly mutant: Mutant;
  /** Folder that holds it alone. */
  readonly folder: string;
  readonly path: string;
  readonly settings: Settings;
}

/** What one command made of a mutant. */
export interface Stepped {
  /** One of the outcomes that there may be, in a word or two. */
  readonly outcome: string;
  /** What must never be, each as one sentence; empty when all is well. */
  readonly faults: readonly string[];
}

/** What one command does with an asset, first what a user waits for, then what is to be held to. */
export interface Step {
  readonly name: string;
  /**
   * Does the work of the command, and gives what looks through it, which is not timed. Throws for
   * nothing that a file holds.
   */
  work(subject: Subject): Promise<() => Stepped | Promise<Stepped>>;
}

/** A step that was done. */
export interface Timed extends Stepped {
  /**
   * Of the work alone, in the best of up to three goes. By the clock or by the processor, whichever
   * is less: the clock goes on while other programs have their turn.
   */
  readonly milliseconds: number;
  /** What the heap and the memory outside it grew by, nothing collected on purpose. */
  readonly growthBytes: number;
}

/** Longest that one step of one mutant may take. */
export const MOST_MILLISECONDS = 2000;

/** Most that the memory in use may grow by over one step. */
export const MOST_GROWTH_BYTES = 256 * 2 ** 20;

/** Goes at a step that was too slow or too large: the machine may have been busy with something else. */
const GOES = 3;

/** Does one step, and adds what it took to what is wrong with it. */
export async function timed(step: Step, subject: Subject): Promise<Timed> {
  let best = await once(step, subject);
  for (let go = 1; go < GOES && isTooMuch(best); go++) {
    const next = await once(step, subject);
    if (next.milliseconds < best.milliseconds) best = next;
  }
  const { milliseconds, growthBytes } = best;
  const { outcome, faults } = await best.look();
  const slow =
    milliseconds > MOST_MILLISECONDS
      ? [`takes ${milliseconds.toFixed(0)} ms, over ${MOST_MILLISECONDS} ms`]
      : [];
  const large =
    growthBytes > MOST_GROWTH_BYTES
      ? [`grows memory by ${growthBytes >> 20} MiB, over ${MOST_GROWTH_BYTES >> 20} MiB`]
      : [];
  const all = [...slow, ...large, ...faults].map((fault) => `${step.name}: ${fault}`);
  return { outcome, faults: all, milliseconds, growthBytes };
}

/** Whether nothing is wrong with a mutant but the time that some step took. */
export function isSlowOnly({ faults }: { readonly faults: readonly string[] }): boolean {
  return faults.length > 0 && faults.every((fault) => SLOW.test(fault));
}

const SLOW = /^\w+: takes \d+ ms, over \d+ ms$/;

interface Once {
  readonly look: () => Stepped | Promise<Stepped>;
  readonly milliseconds: number;
  readonly growthBytes: number;
}

async function once(step: Step, subject: Subject): Promise<Once> {
  const before = inUse();
  const start = performance.now();
  const startOfWork = process.cpuUsage();
  let look: Once['look'];
  try {
    const made = await step.work(subject);
    look = async () => {
      try {
        return await made();
      } catch (error) {
        return thrown(error);
      }
    };
  } catch (error) {
    look = () => thrown(error);
  }
  const { user, system } = process.cpuUsage(startOfWork);
  const milliseconds = Math.min(performance.now() - start, (user + system) / 1000);
  return { look, milliseconds, growthBytes: Math.max(0, inUse() - before) };
}

function thrown(error: unknown): Stepped {
  const words = error instanceof Error ? error.stack : String(error);
  return { outcome: 'thrown', faults: [`throws ${words}`] };
}

function isTooMuch({ milliseconds, growthBytes }: Once): boolean {
  return milliseconds > MOST_MILLISECONDS || growthBytes > MOST_GROWTH_BYTES;
}

function inUse(): number {
  const { heapUsed, external } = process.memoryUsage();
  return heapUsed + external;
}
