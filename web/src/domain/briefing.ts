// The briefing as the hirer goes through it.
import type { BriefingTopic, InspectionView, Template } from '../api/types';
import { topicOpen } from './deeds';

export interface Topic {
  topic: BriefingTopic;
  critical: boolean;
}

/** The topics that are due, in the order they are explained. */
export function dueTopics(view: InspectionView, template: Template): Topic[] {
  return view.due_topics.flatMap((due) => {
    const topic = template.briefings.find((b) => b.key === due.topic);
    return topic ? [{ topic, critical: due.critical }] : [];
  });
}

/** The next topic not yet acknowledged or left out after a given one, going round; null when none is. */
export function nextTopic(topics: readonly Topic[], view: InspectionView, after: string | null): Topic | null {
  const from = after === null ? -1 : topics.findIndex((t) => t.topic.key === after);
  const round = [...topics.slice(from + 1), ...topics.slice(0, from + 1)];
  return round.find((t) => t.topic.key !== after && topicOpen(view, t.topic.key)) ?? null;
}

/** Millimetres as metres, rounded up to the centimetre: a driver must never be told less than the vehicle measures. */
export function metresUp(mm: number): string {
  const cm = Math.ceil(mm / 10);
  return `${Math.floor(cm / 100)}.${String(cm % 100).padStart(2, '0')}`;
}
