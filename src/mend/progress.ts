import { performance } from 'node:perf_hooks';

/** Is told what a mend is at, and how far it is with that: 0 to 1. */
export type Watch = (step: string, share: number) => void;

/** Milliseconds from one word to the next: people read no faster. */
const PAUSE = 200;

/** Tells a watcher how far a mend is, some times a second, and costs nothing where there is none. */
export class Progress {
  private step = '';
  /** When the last word was said; the first step is told at once. */
  private told = Number.NEGATIVE_INFINITY;

  /** @param now Milliseconds from any moment on. */
  constructor(
    private readonly watch: Watch | undefined,
    private readonly now = (): number => performance.now(),
  ) {}

  /** Begins something that has a name. */
  begin(step: string): void {
    this.step = step;
    this.tell(0);
  }

  tell(share: number): void {
    if (this.watch === undefined) return;
    const now = this.now();
    if (now - this.told < PAUSE) return;
    this.told = now;
    this.watch(this.step, share);
  }
}
