/**
 * Visits every member of a JSON value at any depth, in the order of the text and without recursion.
 *
 * @param isSkipped Keys that are passed over, with all that is below them.
 * @param visit `isInside` is true below a key `extensions`, and for that member itself.
 */
export function eachMember(
  root: unknown,
  isSkipped: (key: string) => boolean,
  visit: (key: string, value: unknown, isInside: boolean) => void,
): void {
  const stack: { key: string; value: unknown; isInside: boolean }[] = [];
  const push = (holder: unknown, isInside: boolean): void => {
    if (typeof holder !== 'object' || holder === null) return;
    for (const [key, value] of Object.entries(holder).reverse())
      if (!isSkipped(key)) stack.push({ key, value, isInside: isInside || key === 'extensions' });
  };
  push(root, false);
  for (let member = stack.pop(); member !== undefined; member = stack.pop()) {
    visit(member.key, member.value, member.isInside);
    push(member.value, member.isInside);
  }
}
