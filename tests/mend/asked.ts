import { REPAIRS } from '../../src/mend/repairs.js';

/** The rules whose mends are only made when asked. */
export const BOLD = REPAIRS.flatMap(({ isBold, rules }) => (isBold === true ? rules : []));
