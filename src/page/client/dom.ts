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
  const made = el('button', { type: 'button' }, words);
  made.addEventListener('click', press);
  return made;
}

/** A labelled list of choices; `pick` is told the index of the one taken. */
export function choice(
  words: string,
  options: readonly string[],
  pick: (index: number) => void,
): { readonly field: HTMLElement; readonly select: HTMLSelectElement } {
  const select = el('select', { id: ownId() });
  options.forEach((option, index) => {
    select.append(el('option', { value: String(index) }, option));
  });
  select.addEventListener('change', () => pick(select.selectedIndex));
  const label = el('label', { for: select.id }, words);
  return { field: el('div', { class: 'view-field' }, label, select), select };
}

/** A labelled slider; `move` is told its value. */
export function slider(
  words: string,
  [from, to, step]: readonly [number, number, number],
  move: (value: number) => void,
): { readonly field: HTMLElement; readonly input: HTMLInputElement; tell(value: string): void } {
  const input = el('input', {
    id: ownId(),
    type: 'range',
    min: String(from),
    max: String(to),
    step: String(step),
  });
  input.addEventListener('input', () => move(input.valueAsNumber));
  const value = el('span', { class: 'view-value', 'aria-hidden': 'true' });
  const head = el('div', { class: 'view-head' }, el('label', { for: input.id }, words), value);
  const tell = (told: string): void => {
    setText(value, told);
    input.setAttribute('aria-valuetext', told === '' ? 'none' : told);
  };
  return { field: el('div', { class: 'view-field' }, head, input), input, tell };
}

/** Two choices or more of which one holds. */
export function radios(
  legend: string,
  options: readonly string[],
  pick: (index: number) => void,
): { readonly field: HTMLFieldSetElement; readonly inputs: readonly HTMLInputElement[] } {
  const name = ownId();
  const inputs = options.map((_, index) => {
    const input = el('input', { type: 'radio', name });
    input.addEventListener('change', () => pick(index));
    return input;
  });
  const labels = inputs.map((input, index) =>
    el('label', { class: 'view-pick' }, input, el('span', {}, options[index] ?? '')),
  );
  const field = el('fieldset', { class: 'view-radios' }, el('legend', {}, legend), ...labels);
  return { field, inputs };
}

let made = 0;

/** For labels, and for radio buttons, which must not share a name with others of the page. */
function ownId(): string {
  return `view-input-${++made}`;
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
