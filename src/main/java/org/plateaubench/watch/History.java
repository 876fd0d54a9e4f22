package org.plateaubench.watch;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * What charts of the live page begin with: a night in at most so many points, however long it is. When there is no more
 * room, every second point goes, and points are taken half as often from then on.
 */
final class History {

    private static final int MOST_POINTS = 1200;

    private final List<Map<String, Object>> points = new ArrayList<>();
    private double apartSeconds;
    private double lastSeconds = Double.NEGATIVE_INFINITY;

    /** Takes a point if the last one is long enough ago. */
    void take(double seconds, Map<String, Object> point) {
        if (seconds - lastSeconds < apartSeconds) {
            return;
        }
        points.add(point);
        double before = lastSeconds;
        lastSeconds = seconds;
        if (points.size() >= MOST_POINTS) {
            apartSeconds = 2 * Math.max(apartSeconds, seconds - before);
            for (int i = points.size() - 1 - points.size() % 2; i > 0; i -= 2) {
                points.remove(i);
            }
        }
    }

    /** One list for each of the names, in the order of time; what a point lacks is an empty text. */
    Map<String, Object> columns(List<String> names) {
        Map<String, Object> columns = new LinkedHashMap<>();
        for (String name : names) {
            List<Object> column = new ArrayList<>(points.size());
            points.forEach(point -> column.add(point.getOrDefault(name, "")));
            columns.put(name, column);
        }
        return columns;
    }

    int size() {
        return points.size();
    }
}
