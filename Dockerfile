# The bot as it stands in the repository: Node runs the TypeScript as it is, so there is no build step.
# Redis is not in here; give REDIS_URL (docs/deploy/compose.yaml shows both together).
FROM node:24-bookworm-slim AS dependencies
WORKDIR /app
COPY package.json package-lock.json ./
# Without install scripts: this image brings its own Node 24, the npm package `node` need not fetch another.
RUN npm ci --omit=dev --ignore-scripts --no-audit --no-fund

FROM node:24-bookworm-slim
ENV NODE_ENV=production MALLOC_ARENA_MAX=2 DATA_DIR=/data PORT=3000 HEALTH_PORT=3001
WORKDIR /app
COPY --from=dependencies /app/node_modules ./node_modules
COPY package.json ./
COPY src ./src
RUN mkdir /data && chown node:node /data
USER node
VOLUME /data
# The chat platform's requests over HTTP, and health. The latter is for inside the container alone unless HEALTH_HOST=0.0.0.0.
EXPOSE 3000 3001
HEALTHCHECK --interval=15s --timeout=5s --start-period=20s --retries=3 \
  CMD ["node", "-e", "fetch(`http://127.0.0.1:${process.env.HEALTH_PORT}/healthz`).then((answer) => process.exit(answer.ok ? 0 : 1), () => process.exit(1))"]
# Its flags keep it small (src/bootstrap/small-memory.mjs). For a process that carries wake-ups and posts alone: the same with
# src/programs/jobs/main.ts.
CMD ["node", "--memory-saver-mode", "--min-semi-space-size=8", "--max-semi-space-size=8", "--heap-growing-percent=100", "src/programs/bot/main.ts"]
