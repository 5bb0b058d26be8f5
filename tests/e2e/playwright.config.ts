import { defineConfig } from '@playwright/test';

// A server that is already running, with the demonstration fleet in it.
const baseURL = process.env['HANDSEL_URL'] ?? 'http://127.0.0.1:8080';

export default defineConfig({
  testDir: '.',
  // One hire goes through all hands: its steps depend on each other.
  workers: 1,
  fullyParallel: false,
  timeout: 240_000,
  expect: { timeout: 15_000 },
  reporter: [['list'], ['./tell.ts']],
  use: {
    baseURL,
    actionTimeout: 15_000,
    locale: 'en-GB',
    timezoneId: 'Europe/London',
    trace: 'retain-on-failure',
    screenshot: 'only-on-failure',
    launchOptions: {
      executablePath: process.env['CHROMIUM'] ?? '/usr/bin/chromium',
      args: [
        '--no-sandbox',
        '--disable-gpu',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
      ],
    },
  },
});
