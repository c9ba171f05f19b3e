import type { Format } from '../format.js';

export const csv: Format = {
  name: 'csv',
  endings: ['csv'],
  tells: 'For spreadsheets: a row for each finding.',
  isUnescaped: true,
  async open(head) {
    const { writeCsv } = await import('../../../report/csv.js');
    const { collected } = await import('../../../report/report-stream.js');
    return collected(head, writeCsv);
  },
};
