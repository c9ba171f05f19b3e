#!/usr/bin/env node
import { main, processIo } from '../dist/cli.js';

process.exitCode = await main(process.argv, processIo());
