// What is nobody's, shared out evenly.
/** Each line goes to whoever has fewest by then; of those alike, the first named. */
export function shareOf(lines: readonly string[], nurses: readonly string[], ward: readonly { nurse: string }[]): { line: string; nurse: string }[] {
  const has = new Map(nurses.map((nurse) => [nurse, ward.filter((one) => one.nurse === nurse).length]));
  return lines.flatMap((line) => {
    const [least] = [...has].sort((a, b) => a[1] - b[1]);
    if (least === undefined) return [];
    has.set(least[0], least[1] + 1);
    return [{ line, nurse: least[0] }];
  });
}
