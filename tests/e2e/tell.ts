// What stood on the screen when a test failed, in the log: where a machine of its own runs the tests, nobody can look
// at its pictures afterwards.
import { readFileSync } from 'node:fs';
import type { Reporter, TestCase, TestResult } from '@playwright/test/reporter';

const MOST = 4_000;

export default class Tell implements Reporter {
  onTestEnd(test: TestCase, result: TestResult): void {
    if (result.status === 'passed' || result.status === 'skipped') return;
    const told = result.attachments.find((a) => a.name === 'error-context');
    const text = told?.body?.toString() ?? (told?.path === undefined ? '' : readFileSync(told.path, 'utf8'));
    const screen = /```yaml\n([\s\S]*?)```/u.exec(text)?.[1];
    if (screen !== undefined) process.stdout.write(`\n  on the screen when "${test.title}" failed:\n${screen.slice(0, MOST)}\n`);
  }

  printsToStdio(): boolean {
    return false;
  }
}
