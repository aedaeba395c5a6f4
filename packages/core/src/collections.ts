/** Adds a value to the list of a key, which is made when it is the first. */
export function addTo<Key, Value>(lists: Map<Key, Value[]>, key: Key, value: Value): void {
  const values = lists.get(key);
  if (values === undefined) lists.set(key, [value]);
  else values.push(value);
}
