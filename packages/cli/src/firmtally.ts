#!/usr/bin/env node
import { EXIT } from './exit-code.js';
import { loadMain } from './launch/load-main.js';

const argv = process.argv.slice(2);
const loaded = loadMain(argv, process.env);

void loaded.main(argv).then((code) => {
  process.exitCode = code;
  // A run that failed has not compiled what the next one needs.
  if (code !== EXIT.trouble) loaded.keepCode();
});
