import { sha256 } from '../asset/crypto.js';
import { shortened } from '../report/finding-words.js';
import { logXml, withoutMarks } from '../report/log-marks.js';
import { xmlLine } from '../report/visible.js';

/** Letters of a name that a page shows. */
const NAME_LETTERS = 120;

/** Any text as HTML text or the value of a quoted attribute: never markup, never a control. */
export function text(value: string): string {
  return logXml(xmlLine(value).replace(/[&<>"']/g, (letter) => `&#${letter.charCodeAt(0)};`));
}

export function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** A name or path from a file, cut in the middle where it is too long to be read. */
export function nameText(value: string): string {
  return text(shortened(value, NAME_LETTERS));
}

/** A path from a file, which is broken between its parts where it is broken at all. */
export function pathText(value: string): string {
  return nameText(value).replaceAll('/', '/<wbr>');
}

/**
 * A block of data that scripts read. Nothing in it can end the block (HTML, script data states), or
 * reorder what a reader of the source sees.
 */
export function dataBlock(id: string, json: string): string {
  const inert = json.replace(
    /[<>&\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/g,
    (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
  return `<script type="application/json" id="${id}">${withoutMarks(inert)}</script>`;
}

/**
 * One self-contained HTML file. Its Content-Security-Policy allows its own style and script, known by
 * their hashes, and nothing else: no network, no handler in an attribute, no style in one.
 *
 * @param parts `script` runs once the body is there, `early` before there is any; neither must hold
 *   `</script` or `<!--`. `pictures` names where pictures may come from besides the page itself.
 */
export function wholePage(
  parts: Readonly<Record<'title' | 'style' | 'body' | 'script', string>> & {
    readonly pictures?: string | undefined;
    readonly early?: string | undefined;
  },
): string {
  const { title, style, body, script, pictures, early } = parts;
  const policy = [
    "default-src 'none'",
    `script-src '${sourceHash(script)}'${early === undefined ? '' : ` '${sourceHash(early)}'`}`,
    `style-src '${sourceHash(style)}'`,
    `img-src data:${pictures === undefined ? '' : ` ${pictures}`}`,
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${text(title)}</title>
<style>${style}</style>${early === undefined ? '' : `\n<script>${early}</script>`}
</head>
<body>
${body}
<script>${script}</script>
</body>
</html>
`;
}

/** Content Security Policy Level 3, hash-source. */
function sourceHash(source: string): string {
  return `sha256-${sha256().update(source).digest('base64')}`;
}
