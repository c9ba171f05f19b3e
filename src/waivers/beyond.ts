import type { Accepted, Waiver, WaiverText } from './ledger.js';

/** In what a finding is more than was accepted. */
export type Beyond<W extends WaiverText = Waiver> =
  | { readonly kind: 'places'; readonly waivers: readonly W[]; readonly paths: readonly string[] }
  | { readonly kind: 'level'; readonly waiver: W }
  | { readonly kind: 'unit'; readonly waiver: W }
  | { readonly kind: 'vertices'; readonly waiver: W }
  | { readonly kind: 'number'; readonly waiver: W; readonly accepted: number }
  | {
      readonly kind: 'also';
      readonly waiver: W;
      /** Null where nothing was accepted in this unit. */
      readonly accepted: number | null;
      readonly now: number;
      readonly unit: string;
    }
  | { readonly kind: 'rules'; readonly waiver: W; readonly rules: readonly string[] }
  | {
      readonly kind: 'measure';
      readonly waiver: W;
      /** Null for the finding as a whole. */
      readonly path: string | null;
      readonly accepted: number;
      readonly now: number;
    };

/** A waiver that says what it accepted. */
export type Saying<W> = W & { readonly accepted: Accepted };
