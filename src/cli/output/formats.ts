/** The forms a report can have. */
export const FORMATS = ['text', 'json', 'sarif', 'junit', 'csv', 'markdown', 'html'] as const;
export type Format = (typeof FORMATS)[number];

/** Formats by the ending of a file's name. */
export const ENDINGS: Readonly<Record<string, Format>> = {
  txt: 'text',
  json: 'json',
  sarif: 'sarif',
  xml: 'junit',
  csv: 'csv',
  md: 'markdown',
  html: 'html',
};
