import { type MendOutcome, type MendRecord, OUTCOMES } from './mend-record.js';

/** What became of the assets of a run, counted as they come. */
export class MendTally {
  /** Assets by how they ended. */
  readonly outcomes = none();
  /** Of these, those that are sound after the mend. */
  readonly soundAfter = none();

  get assets(): number {
    return sum(this.outcomes);
  }

  get sound(): number {
    return sum(this.soundAfter);
  }

  add({ outcome, after }: MendRecord): void {
    this.outcomes[outcome]++;
    // What could not be written is nowhere, however sound it would be.
    const isThere = outcome !== 'failed' && outcome !== 'refused';
    if (isThere && after?.verdict === 'sound') this.soundAfter[outcome]++;
  }
}

function none(): Record<MendOutcome, number> {
  // The list has every outcome.
  return Object.fromEntries(OUTCOMES.map((outcome) => [outcome, 0])) as Record<MendOutcome, number>;
}

function sum(counts: Readonly<Record<MendOutcome, number>>): number {
  return OUTCOMES.reduce((total, outcome) => total + counts[outcome], 0);
}
