import { createServer } from 'node:http';
import type { BrowserServer } from 'playwright-core';
import type { TestProject } from 'vitest/node';

/**
 * Parts of Chromium that no test looks at. For each window it would draw the address bar’s list as pages of their own, and keep
 * a process ready for the next page: more than half of what it costs to open one.
 */
const ofNoUse = [
  'WebUIOmniboxPopup',
  'WebUIOmniboxFullPopup',
  'WebUIOmniboxAimPopup',
  'SpareRendererForSitePerProcess',
];
/** What Playwright itself turns off. Of two such lists Chromium takes the last. */
const byPlaywright = [
  'AvoidUnnecessaryBeforeUnloadCheckSync',
  'DestroyProfileOnBrowserClose',
  'HttpsUpgrades',
  'HttpsFirstBalancedModeAutoEnable',
  'LensOverlay',
  'MediaRouter',
  'PaintHolding',
  'ThirdPartyStoragePartitioning',
  'AvoidCorsURLLoaderRestartOnRedirect',
  'OptimizationHints',
  'NetworkTimeServiceQuerying',
  'AimEnabled',
  'PreconnectToSearch',
];

/** Starts the Chromium of this machine; `CHROMIUM_PATH` names another than Debian's. */
async function launch(): Promise<BrowserServer> {
  // Loaded only when a file asks: it takes half a second.
  const { chromium } = await import('playwright-core');
  return chromium.launchServer({
    executablePath: process.env.CHROMIUM_PATH ?? '/usr/bin/chromium',
    headless: true,
    args: [
      '--headless',
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      `--disable-features=${[...byPlaywright, ...ofNoUse].join(',')}`,
    ],
  });
}

/**
 * One Chromium for all files of a run, started when the first of them asks where it is. Each file connects on its own and opens
 * its own contexts, which share nothing: no storage, no cookies, no pages.
 */
export async function setup(project: TestProject): Promise<() => Promise<void>> {
  let started: Promise<BrowserServer> | null = null;
  const door = createServer((_, response) => {
    started ??= launch();
    started.then(
      (browser) => response.end(browser.wsEndpoint()),
      (error: unknown) => response.writeHead(500).end(String(error)),
    );
  });
  await new Promise<void>((resolve) => door.listen(0, '127.0.0.1', resolve));
  const address = door.address();
  project.provide('chromiumPort', typeof address === 'object' && address ? address.port : 0);
  return async () => {
    door.close();
    door.closeAllConnections();
    await (await started?.catch(() => null))?.close();
  };
}

declare module 'vitest' {
  interface ProvidedContext {
    /** Where to ask for the shared Chromium. */
    chromiumPort: number;
  }
}
