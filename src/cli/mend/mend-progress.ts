import { withoutMarks } from '../../report/log-marks.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';

/** Milliseconds before a run says how far it is: most are done by then. */
const QUIET = 1000;
/** Milliseconds between two lines. */
const STEP = 100;

/** How far a step of a mend is. */
export interface MendStep {
  /** The asset, as the user knows it. */
  readonly name: string;
  readonly step: string;
  /** How much of its proof is done, 0 to 1. */
  readonly share: number;
}

/** A line on a terminal that shows how far a mend is, and what it is at. */
export class MendProgress {
  private readonly start: number;
  private last = Number.NEGATIVE_INFINITY;
  private isDrawn = false;
  private mended = 0;
  private failed = 0;

  constructor(
    private readonly total: number,
    private readonly io: Pick<Io, 'stderr' | 'clock' | 'progress' | 'progressColumns'>,
    private readonly isShown: boolean,
  ) {
    this.start = io.clock().getTime();
  }

  /** To be called from a mend under way, in whichever process. */
  at({ name, step, share }: MendStep): void {
    const done = `${Math.floor(100 * Math.min(1, Math.max(0, share)))} %`;
    this.draw(`${name}, ${step}, proof ${done}`);
  }

  /** To be called with each asset that is done. */
  done(name: string, isFine: boolean): void {
    this.mended++;
    if (!isFine) this.failed++;
    this.draw(name);
  }

  clear(): void {
    if (this.isDrawn) this.io.stderr.write('\r\u001b[K');
    this.isDrawn = false;
  }

  private draw(what: string): void {
    const now = this.io.clock().getTime();
    if (!this.isShown || !this.io.progress) return;
    if (now - this.start < QUIET || now - this.last < STEP) return;
    this.last = now;
    const failed = this.failed === 0 ? '' : `, ${this.failed} not sound`;
    const head =
      this.total === 1 ? 'Mending ' : `Mended ${this.mended} of ${this.total}${failed}: `;
    const room = Math.max(10, this.io.progressColumns - head.length - 1);
    const text = withoutMarks(visible(what));
    const shown = text.length > room ? `...${text.slice(3 - room)}` : text;
    this.io.stderr.write(`\r\u001b[K${head}${shown}`);
    this.isDrawn = true;
  }
}
