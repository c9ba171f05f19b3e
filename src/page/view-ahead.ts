/**
 * Runs before the page has a body: it makes room for the view in the first layout, so that nothing moves
 * when the view stands. The viewer takes the room back where it gets no WebGL; `data-ahead` is its word
 * that it is done.
 */
export const VIEW_AHEAD =
  "if('WebGL2RenderingContext' in window)document.documentElement.dataset.ahead=''";
