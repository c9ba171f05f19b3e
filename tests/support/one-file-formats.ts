import { FORMATS } from '../../src/cli/output/formats/index.js';

/** Names of all forms of a report that are one text, however many assets it tells of. */
export const ONE_FILE_FORMATS = FORMATS.filter(({ needs }) => !needs?.includes('pictures')).map(
  ({ name }) => name,
);
