// For measuring, never for judging: started by tests/bench/taps.
import base from './playwright.config';

export default { ...base, testMatch: '*.bench.ts', timeout: 1_800_000 };
