/** What the stand-in shows of an answer, as plain words: names for mentions, no marks of formatting. */
export function plainWords(text: string, people: readonly { id: string; name: string }[]): string {
  return text
    .replaceAll(/<@([A-Z0-9]+)>/g, (_, id: string) => people.find((one) => one.id === id)?.name ?? id)
    .replaceAll(/<#([A-Z0-9]+)>/g, 'the ward’s channel')
    .replaceAll('*', '')
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&amp;', '&');
}
