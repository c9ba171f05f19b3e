const { register } = require('node:module');
const { join } = require('node:path');
const { fileURLToPath, pathToFileURL } = require('node:url');
const { MessageChannel, receiveMessageOnPort, Worker } = require('node:worker_threads');

/** Where a module finds the library of this process, since both must take one measure once. */
const LIBRARY = Symbol.for('trysquare.library');

/** Hears of every file that modules import. */
let port = null;
const files = new Map();
const tried = new Set();

/**
 * Imports a module of other people. What it imports from `trysquare` is the library of this very
 * process, wherever the module lies and whatever is installed there. This file stands beside the
 * command, since a bundle cannot import what it does not hold.
 *
 * @param library Gives the library.
 * @returns {Promise<{ exports: object, files: string[] }>}
 */
async function importModule(path, library) {
  if (port === null) await offer(await library());
  const url = pathToFileURL(path).href;
  const exports = await import(url);
  return { exports, files: filesOf(url) };
}

async function offer(library) {
  globalThis[LIBRARY] = library;
  const channel = new MessageChannel();
  port = channel.port1;
  port.unref();
  register('./module-hooks.mjs', {
    parentURL: pathToFileURL(__filename),
    data: { port: channel.port2, names: Object.keys(library) },
    transferList: [channel.port2],
  });
}

/** The module and all that it imports, in one step or many. */
function filesOf(url) {
  for (let next = receiveMessageOnPort(port); next; next = receiveMessageOnPort(port)) {
    const { parent, child } = next.message;
    files.set(parent, (files.get(parent) ?? new Set()).add(child));
  }
  const all = new Set([url]);
  for (const each of all) for (const child of files.get(each) ?? []) all.add(child);
  return [...all].filter((each) => each.startsWith('file:')).map((each) => fileURLToPath(each));
}

/**
 * The same in the process of the command, where what never ends cannot be interrupted: a module is
 * tried once in a thread of its own. What a module prints goes to standard error, since standard output
 * is the report's.
 */
async function tryAndImport(path, seconds, library) {
  if (!tried.has(path)) {
    await tryModule(path, seconds);
    tried.add(path);
    for (const way of ['log', 'info', 'debug', 'dir', 'table']) console[way] = console.error;
  }
  return importModule(path, library);
}

/** Throws where a module does not come to its end in a thread; whatever else it throws is thrown later. */
function tryModule(path, seconds) {
  const thread = new Worker(join(__dirname, 'try-module.cjs'), {
    workerData: { path },
    stdin: true,
    stdout: true,
    stderr: true,
  });
  return new Promise((done, fail) => {
    const timer = setTimeout(() => {
      fail(new Error(`it does not finish loading within ${seconds} s`));
      void thread.terminate();
    }, 1000 * seconds);
    let hasAnswered = false;
    thread.once('message', () => {
      hasAnswered = true;
      void thread.terminate();
    });
    // What nobody catches would end the process of a check, and with a stack.
    thread.once('error', fail);
    thread.once('exit', () => {
      clearTimeout(timer);
      if (hasAnswered) done();
      else
        fail(
          new Error('it ends the process that loads it, or waits for something that never comes'),
        );
    });
  });
}

module.exports = { importModule, tryAndImport };
