import { type BrowserServer, chromium } from 'playwright-core';

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
export function launchChromium(): Promise<BrowserServer> {
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
