import type { Format } from '../format.js';

/** For spreadsheets: a row a finding. */
export const csv: Format = {
  name: 'csv',
  endings: ['csv'],
  needs: [],
  isLines: true,
  async open(head) {
    const { writeCsv } = await import('../../../report/csv.js');
    const { collected } = await import('../../../report/report-stream.js');
    return collected(head, (report) => writeCsv(report));
  },
};
