/** The library, as modules name it. */
const NAME = 'trysquare';
const URL = 'trysquare:library';

let port = null;
let source = '';

/** Called once, with the port that hears of imports and the names that the library exports. */
export function initialize(data) {
  port = data.port;
  source = `const { ${data.names.join(', ')} } = globalThis[Symbol.for('trysquare.library')];\nexport { ${data.names.join(', ')} };\n`;
}

export async function resolve(specifier, context, next) {
  if (specifier === NAME) return { url: URL, shortCircuit: true };
  const found = await next(specifier, context);
  if (context.parentURL !== undefined)
    port.postMessage({ parent: context.parentURL, child: found.url });
  return found;
}

export async function load(url, context, next) {
  return url === URL ? { format: 'module', source, shortCircuit: true } : next(url, context);
}
