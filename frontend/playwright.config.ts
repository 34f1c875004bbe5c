// The page in Debian's Chromium against the program itself, with the demo in a
// database of its own. EVENFALL names the program; 8397 is any free port.
import { defineConfig } from '@playwright/test';

const program = process.env['EVENFALL'] ?? '../evenfall';
const listen = process.env['EVENFALL_LISTEN'] ?? '127.0.0.1:8397';

// What Playwright switches off itself: the last such list counts alone.
const unwanted = ['AvoidUnnecessaryBeforeUnloadCheckSync', 'DestroyProfileOnBrowserClose', 'HttpsUpgrades', 'HttpsFirstBalancedModeAutoEnable', 'MediaRouter', 'PaintHolding', 'ThirdPartyStoragePartitioning', 'OptimizationHints'];
// Pages of the browser's own, made ready in every window that a test opens.
const browserUi = ['WebUIOmniboxPopup', 'WebUIOmniboxAimPopup', 'WebUIOmniboxFullPopup'];

export default defineConfig({
  testDir: 'tests',
  outputDir: 'test-results/runs',
  globalSetup: './tests/fresh.ts',
  timeout: 150_000,
  expect: { timeout: 15_000 },
  workers: 1, // one database, two processors
  reporter: [['list']],
  // Pictures first: they show the demo as it comes, before other tests change it.
  projects: [
    { name: 'pictures', testMatch: /screens\.spec/ },
    { name: 'page', testIgnore: /screens\.spec/, dependencies: ['pictures'] },
  ],
  use: {
    baseURL: `http://${listen}`,
    viewport: { width: 1440, height: 900 },
    locale: 'en-US',
    timezoneId: 'America/Chicago',
    launchOptions: {
      executablePath: process.env['CHROMIUM'] ?? '/usr/bin/chromium',
      args: [
        '--headless',
        '--no-sandbox',
        '--disable-gpu',
        '--disable-quic',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
        `--disable-features=${[...unwanted, ...browserUi].join(',')}`,
      ],
    },
    screenshot: 'only-on-failure',
  },
  webServer: {
    command: `${program} serve --demo --data test-results/page-${process.pid}.db --listen ${listen}`,
    url: `http://${listen}/api/v1/properties`,
    reuseExistingServer: process.env['EVENFALL_RUNNING'] === 'yes',
    stderr: 'ignore', // its log of requests
    timeout: 60_000,
  },
});
