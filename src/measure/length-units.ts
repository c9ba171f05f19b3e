/** What lengths are given in. */
export type LengthUnit = 'm' | 'cm' | 'mm' | 'in' | 'ft';

/** Metres in each unit. The inch is 25.4 mm and the foot 12 inches (ISO 80000-3, from memory). */
export const METRES: Readonly<Record<LengthUnit, number>> = {
  m: 1,
  cm: 0.01,
  mm: 0.001,
  in: 0.0254,
  ft: 0.3048,
};

/** In the order that people are shown them. */
export const LENGTH_UNITS: readonly LengthUnit[] = ['m', 'cm', 'mm', 'in', 'ft'];
