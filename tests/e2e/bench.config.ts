// For measuring, never for judging: started by tests/bench/taps, lighthouse and bytes. Nothing is traced: what records
// the page works within it, and would be measured along with it.
import base from './playwright.config';

export default { ...base, testMatch: '*.bench.ts', timeout: 1_800_000, use: { ...base.use, trace: 'off' as const, screenshot: 'off' as const } };
