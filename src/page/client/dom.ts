/** Makes an element with attributes and children; text goes in as text, never as markup. */
export function el<Name extends keyof HTMLElementTagNameMap>(
  name: Name,
  attributes: Readonly<Record<string, string>> = {},
  ...children: (Node | string)[]
): HTMLElementTagNameMap[Name] {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
}

export function button(words: string, press: () => void): HTMLButtonElement {
  const element = el('button', { type: 'button' }, words);
  element.addEventListener('click', press);
  return element;
}

/** A labelled list of choices; `pick` is given the index of the one taken. */
export function choice(words: string, options: readonly string[], pick: (index: number) => void) {
  const id = newId();
  const entries = options.map((option, index) => el('option', { value: `${index}` }, option));
  const select = el('select', { id }, ...entries);
  select.addEventListener('change', () => pick(select.selectedIndex));
  const label = el('label', { for: id }, words);
  return { field: el('div', { class: 'view-field' }, label, select), select };
}

/** A labelled slider; `move` is given its value, and `say` shows what that means. */
export function slider(
  words: string,
  [min, max, step]: readonly [number, number, number],
  move: (value: number) => void,
) {
  const id = newId();
  const input = el('input', { id, type: 'range', min: `${min}`, max: `${max}`, step: `${step}` });
  input.addEventListener('input', () => move(input.valueAsNumber));
  const value = el('span', { class: 'view-value', 'aria-hidden': 'true' });
  const head = el('div', { class: 'view-head' }, el('label', { for: id }, words), value);
  const say = (meaning: string): void => {
    setText(value, meaning);
    input.setAttribute('aria-valuetext', meaning === '' ? 'none' : meaning);
  };
  return { field: el('div', { class: 'view-field' }, head, input), input, say };
}

/** Two choices or more of which one is taken. */
export function radios(legend: string, options: readonly string[], pick: (index: number) => void) {
  const name = newId();
  const inputs = options.map(() => el('input', { type: 'radio', name }));
  const labels = inputs.map((input, index) => {
    input.addEventListener('change', () => pick(index));
    return pickLabel(input, options[index] ?? '');
  });
  return { field: group(legend, labels, 'view-radios'), inputs };
}

/** Words that can be clicked to the same effect as their input. */
export function pickLabel(input: HTMLInputElement, words: string): HTMLLabelElement {
  return el('label', { class: 'view-pick' }, input, el('span', {}, words));
}

let ids = 0;

/** For labels, and for radio buttons, which must not share a name with others of the page. */
function newId(): string {
  return `view-input-${++ids}`;
}

/** Sets a text only when it differs, so that nothing is read out twice. */
export function setText(element: Element, words: string): void {
  if (element.textContent !== words) element.textContent = words;
}

/** A group of controls of one rig, and what brings it up to date. */
export interface Group {
  readonly element: HTMLElement;
  update(): void;
}

/** A frame around fields, with a heading. */
export function group(legend: string, fields: readonly Node[], className = 'view-group') {
  return el('fieldset', { class: className }, el('legend', {}, legend), ...fields);
}
