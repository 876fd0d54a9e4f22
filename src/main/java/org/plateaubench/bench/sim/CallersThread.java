package org.plateaubench.bench.sim;

import java.util.List;
import java.util.concurrent.AbstractExecutorService;
import java.util.concurrent.TimeUnit;

/** Does everything at once on the thread that asks for it, one thing at a time: for devices that never hang. */
final class CallersThread extends AbstractExecutorService {

    private volatile boolean shutdown;

    @Override
    public synchronized void execute(Runnable task) {
        task.run();
    }

    @Override
    public void shutdown() {
        shutdown = true;
    }

    @Override
    public List<Runnable> shutdownNow() {
        shutdown = true;
        return List.of();
    }

    @Override
    public boolean isShutdown() {
        return shutdown;
    }

    @Override
    public boolean isTerminated() {
        return shutdown;
    }

    @Override
    public boolean awaitTermination(long timeout, TimeUnit unit) {
        return shutdown;
    }
}
