import type { PracticeWorld } from './world.ts';

/** `&`, `<` and `>` as the platform sends them when a person typed them. */
export function escapeTyped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}

/**
 * Text typed after a slash command, as an app with `should_escape: true` receives it: control characters escaped,
 * `@handle` and `#channel` turned into mentions, web addresses into links. (That `@channel` also becomes a broadcast
 * is from memory.)
 */
export function escapeCommandText(world: PracticeWorld, text: string): string {
  return escapeTyped(text)
    .replaceAll(/(^|[\s(])@([a-z0-9._-]+)/gi, (whole, before: string, handle: string) => {
      const lower = handle.toLowerCase();
      if (['channel', 'here', 'everyone'].includes(lower)) return `${before}<!${lower}>`;
      const user = world.users.find((candidate) => candidate.handle === lower);
      return user ? `${before}<@${user.id}|${user.handle}>` : whole;
    })
    .replaceAll(/(^|[\s(])#([a-z0-9_-]+)/gi, (whole, before: string, name: string) => {
      const channel = world.channels.find((candidate) => candidate.name === name.toLowerCase());
      return channel ? `${before}<#${channel.id}|${channel.name}>` : whole;
    })
    .replaceAll(/(^|\s)(https?:\/\/[^\s<>]+)/gi, '$1<$2>');
}
