// What axe finds wrong on a page, or in a part of it, in words.
import AxeBuilder from '@axe-core/playwright';
import type { Page } from '@playwright/test';

export async function violations(page: Page, part?: string): Promise<string[]> {
  // In this page itself: there are no frames, and a window for the result alone takes long.
  let axe = new AxeBuilder({ page }).setLegacyMode().options({ resultTypes: ['violations'] });
  if (part) axe = axe.include(part);
  const { violations: found } = await axe.analyze();
  return found.flatMap((v) => v.nodes.map((n) => `${v.id}: ${n.target.join(' ')} ${n.failureSummary ?? ''}`));
}
