import { describe, expect, it } from 'vitest';
import { drawingOf } from './topicPictures';
import { sharedEnding, withoutEnding } from './cautions';

describe('what all cautions end with', () => {
  const all = ['Hot. Ask us first.', 'Wet and cold! Ask us first.'];

  it('is found where all share it, and taken off each', () => {
    expect(sharedEnding(all)).toBe('Ask us first.');
    expect(all.map((c) => withoutEnding(c, 'Ask us first.'))).toEqual(['Hot.', 'Wet and cold!']);
  });

  it('is not made up where one differs, where it is all there is, or where there is one caution', () => {
    expect(sharedEnding([...all, 'Sharp. Wear gloves.'])).toBeNull();
    expect(sharedEnding(['Ask us first.', 'Ask us first.'])).toBeNull();
    expect(sharedEnding(['Hot. Ask us first.'])).toBeNull();
    expect(withoutEnding('Hot. Ask us.', null)).toBe('Hot. Ask us.');
  });
});

describe('drawings', () => {
  it('leave an unknown topic without one', () => {
    expect(drawingOf('an_own_topic')).toBeUndefined();
    expect(drawingOf('gas_use')?.lines).toContain('M');
  });
});
