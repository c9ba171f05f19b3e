/**
 * Things row by row, in their order, and where each row begins, with one more for the end. `rowOf`
 * is the row of each thing. A counting sort: lists of lists cost ten times as much on a dense mesh.
 */
export function rowsOf(
  rowOf: Int32Array,
  rows: number,
): { readonly first: Int32Array; readonly order: Int32Array } {
  const first = new Int32Array(rows + 1);
  for (let i = 0; i < rowOf.length; i++) {
    const row = rowOf[i] ?? 0;
    first[row + 1] = (first[row + 1] ?? 0) + 1;
  }
  for (let row = 0; row < rows; row++) first[row + 1] = (first[row + 1] ?? 0) + (first[row] ?? 0);
  const free = first.slice();
  const order = new Int32Array(rowOf.length);
  for (let i = 0; i < rowOf.length; i++) {
    const row = rowOf[i] ?? 0;
    const at = free[row] ?? 0;
    order[at] = i;
    free[row] = at + 1;
  }
  return { first, order };
}
