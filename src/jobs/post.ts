import { z } from 'zod';

const payloadSchema = z.object({ wardId: z.string().min(3).max(60) });

/** A ward's messages are waiting: sends and updates them, one lane a channel, at most one a second. */
export async function post(
  data: unknown,
  parts: { deliverPosts(wardId: string): Promise<void> },
): Promise<void> {
  const { wardId } = payloadSchema.parse(data);
  await parts.deliverPosts(wardId);
}
