package org.plateaubench.report.chart;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/**
 * One chart as SVG text: lines, intervals and marks over two axes, each labelled where it is, so that no legend is
 * needed. It has a title and a description for those who cannot see it, brings no fonts, and leaves all colours to
 * classes of the page around ("s1" to "s5" for what is drawn, besides "grid", "axis", "limit", "stage-..."), so that a
 * page can have a light and a dark form. Beside colours, lines differ by their dashes and points by their shapes.
 */
public final class Chart {

    /** Width of every chart, in its own units. */
    public static final double WIDTH = 760;

    private static final double LEAST_LEFT = 50;
    private static final double ABOVE_PLOT = 28;
    private static final double HEAD_HEIGHT = 13;
    private static final int HEAD_ROWS = 2;
    private static final double UNDER_AXIS = 40;
    private static final double LINE_HEIGHT = 14;
    private static final double LETTER_WIDTH = 6.4;
    /** Names are set in bold, which is so many times wider. */
    private static final double BOLD = 1.2;

    private static final double STRIP_HEIGHT = 15;
    private static final double STRIPES_APART = 9;
    /** Where a label may stand beside its point; a label that fits nowhere stands on the right, over what is there. */
    private static final int PLACES_TRIED = 16;
    /** A line needs no more points than pixels. */
    private static final double COLUMN_WIDTH = 1.5;

    private final String id;
    private final String title;
    private final String description;
    private final double left;
    private final double right;
    private final double top;
    private final double bottom;
    private final double foot;
    private final double height;
    private final Axis along;
    private final Axis upright;
    private final String mark;

    private final Svg back = new Svg();
    private final Svg strip = new Svg();
    private final Svg front = new Svg();
    private final List<EndLabel> endLabels = new ArrayList<>();
    private final List<Spot> spots = new ArrayList<>();

    /** What stands beside the end of a line. */
    private record EndLabel(double y, String text, int series) {}

    /** What stands beside a point; the text may be empty. */
    private record Spot(double x, double y, String text, int series) {}

    /** A rectangle that a label or a point takes. */
    private record Box(double left, double right, double above, double below) {
        boolean meets(Box other) {
            return left < other.right && other.left < right && above < other.below && other.above < below;
        }

        boolean within(Box other) {
            return left >= other.left && right <= other.right && above >= other.above && below <= other.below;
        }
    }

    /** Shape of a point. */
    public enum Mark {
        /** A full circle. */
        CIRCLE,
        /** A full square. */
        SQUARE,
        /** A full diamond. */
        DIAMOND,
        /** A full triangle. */
        TRIANGLE,
        /** An open circle. */
        RING,
        /** An open square that a circle fits into. */
        FRAME;

        private static Mark of(int number) {
            return number <= 4 ? values()[number - 1] : RING;
        }
    }

    /**
     * A chart without anything drawn yet.
     *
     * @param id name of the chart, unique in its page
     * @param title what it shows, one line
     * @param description what can be read from it, for those who cannot see it
     * @param along axis that goes along
     * @param upright axis that goes up
     * @param plotHeight height of the part with the lines
     * @param labelWidth room for labels beside the ends of lines; 0 or more
     * @param staged true if stages stand in heads above the plot and in a strip below it
     * @param mark written over the chart, such as "SIMULATED"; may be empty
     */
    public Chart(
            String id,
            String title,
            String description,
            Axis along,
            Axis upright,
            double plotHeight,
            double labelWidth,
            boolean staged,
            String mark) {
        this.id = id;
        this.title = title;
        this.description = description;
        this.along = along;
        this.upright = upright;
        this.mark = mark;
        double widest = upright.ticks().marks().stream()
                .mapToDouble(tick -> textWidth(tick.label()))
                .max()
                .orElse(0);
        this.left = Math.max(LEAST_LEFT, widest + 12);
        this.right = WIDTH - 8 - labelWidth;
        this.top = ABOVE_PLOT + (staged ? HEAD_ROWS * HEAD_HEIGHT : 0);
        this.bottom = top + plotHeight;
        this.foot = bottom + (staged ? STRIP_HEIGHT : 0);
        this.height = foot + UNDER_AXIS;
    }

    private double x(double value) {
        return left + along.share(value) * (right - left);
    }

    private double y(double value) {
        return bottom - upright.share(value) * (bottom - top);
    }

    private static double textWidth(String text) {
        return LETTER_WIDTH * text.codePointCount(0, text.length());
    }

    /**
     * Shades a part of the axis that goes along, over the whole height.
     *
     * @param from its begin
     * @param to its end
     * @param style class of its colour
     */
    public void shade(double from, double to, String style) {
        back.empty("rect", "class", style, "x", x(from), "y", top, "width", x(to) - x(from), "height", bottom - top);
    }

    /**
     * Stripes a part of the axis that goes along, over the whole height: it can be told from a shaded one without
     * colours.
     *
     * @param from its begin
     * @param to its end
     */
    public void stripe(double from, double to) {
        StringBuilder path = new StringBuilder();
        double tall = bottom - top;
        // At places of the whole chart, so that stripes of neighbours meet.
        double first = StrictMath.ceil((x(from) - tall) / STRIPES_APART) * STRIPES_APART;
        for (double at = first; at < x(to); at += STRIPES_APART) {
            double begin = Math.max(at, x(from));
            double end = Math.min(at + tall, x(to));
            path.append('M')
                    .append(Svg.coordinate(begin))
                    .append(' ')
                    .append(Svg.coordinate(bottom - (begin - at)))
                    .append('L')
                    .append(Svg.coordinate(end))
                    .append(' ')
                    .append(Svg.coordinate(bottom - (end - at)));
        }
        back.empty("path", "class", "stripe", "d", path);
    }

    /**
     * Writes over a part of the axis that goes along; shorter texts are taken where the first does not fit, or none.
     *
     * @param from its begin
     * @param to its end
     * @param row 0 or 1, from above
     * @param texts the longest first
     */
    public void head(double from, double to, int row, String... texts) {
        double width = x(to) - x(from);
        for (String text : texts) {
            if (!text.isEmpty() && textWidth(text) * 1.1 <= width) {
                front.text(
                        text,
                        "class",
                        "head",
                        "x",
                        (x(from) + x(to)) / 2,
                        "y",
                        ABOVE_PLOT + 9 + row * HEAD_HEIGHT,
                        "text-anchor",
                        "middle");
                return;
            }
        }
    }

    /**
     * A piece of the strip at the foot of the chart.
     *
     * @param from its begin
     * @param to its end
     * @param style class of its colour
     * @param text what it is; written where it fits, and shown when pointed at
     */
    public void strip(double from, double to, String style, String text) {
        double width = x(to) - x(from);
        strip.open("g").element("title", text);
        strip.empty("rect", "class", style, "x", x(from), "y", bottom, "width", width, "height", STRIP_HEIGHT);
        if (textWidth(text) * 0.9 < width) {
            strip.text(text, "class", "strip", "x", x(from) + width / 2, "y", foot - 4, "text-anchor", "middle");
        }
        strip.close("g");
    }

    /**
     * Draws a line. Parts beyond the upright axis are cut off.
     *
     * @param line its values
     * @param number of its colour and dashes, from 1
     * @param label what it is, beside its end; empty: none
     */
    public void line(Series line, int number, String label) {
        int columns = (int) ((right - left) / COLUMN_WIDTH);
        StringBuilder path = new StringBuilder();
        for (double[] piece : line.thinned(along.from(), along.to(), columns)) {
            for (int i = 0; i < piece.length; i += 2) {
                path.append(i == 0 ? 'M' : i == 2 ? 'L' : ' ')
                        .append(Svg.coordinate(x(piece[i])))
                        .append(' ')
                        .append(Svg.coordinate(y(piece[i + 1])));
            }
            if (piece.length == 2) {
                path.append("h1");
            }
        }
        front.empty("path", "class", "line s" + number, "d", path, "clip-path", "url(#" + id + "-plot)");
        if (!label.isEmpty() && !Double.isNaN(line.last())) {
            endLabels.add(new EndLabel(inside(y(line.last())), label, number));
        }
    }

    private double inside(double y) {
        return Math.max(top, Math.min(bottom, y));
    }

    /**
     * Draws a limit, where it lies within the upright axis.
     *
     * @param from its begin along
     * @param to its end along
     * @param value where it is
     * @param label what it is, above its begin; empty: none
     */
    public void limit(double from, double to, double value, String label) {
        if (upright.share(value) < 0 || upright.share(value) > 1) {
            return;
        }
        front.empty("line", "class", "limit", "x1", x(from), "y1", y(value), "x2", x(to), "y2", y(value));
        if (!label.isEmpty()) {
            front.text(label, "class", "limit-label", "x", x(from) + 4, "y", y(value) - 5);
        }
    }

    /**
     * Draws a point, with its interval and its label where there are any.
     *
     * @param atX place along
     * @param atY its value
     * @param halfWidth half of its interval; NaN: none
     * @param number of its colour and shape, from 1
     * @param label what stands beside it; empty: none
     * @param detail what is shown when it is pointed at, and read to those who cannot see it
     */
    public void point(double atX, double atY, double halfWidth, int number, String label, String detail) {
        point(atX, atY, Double.NaN, halfWidth, number, Mark.of(number), label, detail);
    }

    /**
     * Draws a point with a shape of its own, and an interval each way.
     *
     * @param atX place along
     * @param atY its value
     * @param halfAlong half of its interval along; NaN: none
     * @param halfWidth half of its interval up and down; NaN: none
     * @param number of its colour, from 1
     * @param mark its shape
     * @param label what stands beside it; empty: none
     * @param detail what is shown when it is pointed at, and read to those who cannot see it
     */
    public void point(
            double atX,
            double atY,
            double halfAlong,
            double halfWidth,
            int number,
            Mark mark,
            String label,
            String detail) {
        double px = x(atX);
        double py = y(atY);
        front.open("g", "class", "point s" + number).element("title", detail);
        if (!Double.isNaN(halfWidth)) {
            double low = y(atY - halfWidth);
            double high = y(atY + halfWidth);
            front.empty(
                    "path",
                    "class",
                    "interval",
                    "d",
                    "M" + Svg.coordinate(px) + " " + Svg.coordinate(low) + "V" + Svg.coordinate(high) + "m-5 0h10M"
                            + Svg.coordinate(px - 5) + " " + Svg.coordinate(low) + "h10");
        }
        if (!Double.isNaN(halfAlong)) {
            double from = x(atX - halfAlong);
            double to = x(atX + halfAlong);
            front.empty(
                    "path",
                    "class",
                    "interval",
                    "d",
                    "M" + Svg.coordinate(from) + " " + Svg.coordinate(py) + "H" + Svg.coordinate(to) + "m0-5v10M"
                            + Svg.coordinate(from) + " " + Svg.coordinate(py - 5) + "v10");
        }
        switch (mark) {
            case CIRCLE -> front.empty("circle", "cx", px, "cy", py, "r", 4.5);
            case SQUARE -> front.empty("rect", "x", px - 4, "y", py - 4, "width", 8.0, "height", 8.0);
            case DIAMOND -> front.empty("path", "d", shape(px, py, "m0-5.5 5.5 5.5-5.5 5.5-5.5-5.5z"));
            case TRIANGLE -> front.empty("path", "d", shape(px, py, "m0-5.5 5.5 9.5h-11z"));
            case RING -> front.empty("circle", "class", "open", "cx", px, "cy", py, "r", 3.5);
            case FRAME -> front.empty("path", "class", "frame", "d", shape(px, py, "m-6-6h12v12h-12z"));
        }
        front.close("g");
        spots.add(new Spot(px, py, label, number));
    }

    private static String shape(double x, double y, String drawn) {
        return "M" + Svg.coordinate(x) + " " + Svg.coordinate(y) + drawn;
    }

    /**
     * Draws a line over the whole height.
     *
     * @param at its place along
     */
    public void upright(double at) {
        back.empty("line", "class", "zero", "x1", x(at), "y1", top, "x2", x(at), "y2", bottom);
    }

    /**
     * Writes beside the plot.
     *
     * @param atY value that it belongs to
     * @param text what is written
     * @param number of its colour, from 1
     */
    public void beside(double atY, String text, int number) {
        endLabels.add(new EndLabel(inside(y(atY)), text, number));
    }

    /** {@return the chart, an svg element} */
    public String svg() {
        Svg svg = new Svg();
        svg.open(
                "svg",
                "xmlns",
                "http://www.w3.org/2000/svg",
                "viewBox",
                "0 0 " + Svg.coordinate(WIDTH) + " " + Svg.coordinate(height),
                "class",
                "chart",
                "id",
                id,
                "role",
                "img",
                "aria-labelledby",
                id + "-title " + id + "-text");
        svg.element("title", title, "id", id + "-title");
        svg.element("desc", description, "id", id + "-text");
        svg.open("clipPath", "id", id + "-plot")
                .empty("rect", "x", left, "y", top, "width", right - left, "height", bottom - top)
                .close("clipPath");
        svg.text(upright.label(), "class", "quantity", "x", 0.0, "y", 14.0);
        if (!mark.isEmpty()) {
            svg.text(mark, "class", "mark", "x", WIDTH - 8, "y", 14.0, "text-anchor", "end");
        }
        StringBuilder all = new StringBuilder(svg.toString());
        all.append(back)
                .append(grid())
                .append(strip)
                .append(frame())
                .append(front)
                .append(labels());
        return all.append("</svg>").toString();
    }

    private Svg grid() {
        Svg grid = new Svg();
        for (Ticks.Tick tick : upright.ticks().marks()) {
            double at = y(tick.at());
            grid.empty("line", "class", "grid", "x1", left, "y1", at, "x2", right, "y2", at);
            grid.text(tick.label(), "class", "tick up", "x", left - 7, "y", at + 4, "text-anchor", "end");
        }
        return grid;
    }

    private Svg frame() {
        Svg frame = new Svg();
        frame.empty("line", "class", "axis", "x1", left, "y1", foot, "x2", right, "y2", foot);
        for (Ticks.Tick tick : along.ticks().marks()) {
            double at = x(tick.at());
            frame.empty("line", "class", "axis", "x1", at, "y1", foot, "x2", at, "y2", foot + 5);
            frame.text(tick.label(), "class", "tick along", "x", at, "y", foot + 18, "text-anchor", "middle");
        }
        frame.text(along.label(), "class", "quantity", "x", right, "y", foot + 34, "text-anchor", "end");
        return frame;
    }

    /** Labels beside what they name, pushed apart where they would lie on each other. */
    private Svg labels() {
        Svg labels = new Svg();
        List<Box> taken = new ArrayList<>();
        endLabels.sort(Comparator.comparingDouble(EndLabel::y));
        double free = Double.NEGATIVE_INFINITY;
        double room = bottom - (endLabels.size() - 1) * LINE_HEIGHT;
        for (EndLabel label : endLabels) {
            double at = Math.max(Math.min(label.y(), room), free);
            labels.text(label.text(), "class", "name s" + label.series(), "x", right + 6, "y", at + 4);
            taken.add(new Box(right + 6, WIDTH, at - LINE_HEIGHT / 2, at + LINE_HEIGHT / 2));
            free = at + LINE_HEIGHT;
            room += LINE_HEIGHT;
        }
        spots.sort(Comparator.comparingDouble(Spot::y));
        spots.forEach(spot -> taken.add(new Box(spot.x() - 6, spot.x() + 6, spot.y() - 6, spot.y() + 6)));
        spots.stream().filter(spot -> !spot.text().isEmpty()).forEach(spot -> name(labels, spot, taken));
        return labels;
    }

    /** Writes beside a point: right or left of it, then a line lower or higher, and so on, at the first free place. */
    private void name(Svg labels, Spot spot, List<Box> taken) {
        double width = BOLD * textWidth(spot.text());
        Box plot = new Box(left, WIDTH, top - LINE_HEIGHT, bottom);
        for (int i = 0; i < PLACES_TRIED; i++) {
            int lines = i / 2 % 2 == 0 ? -(i / 4) : i / 4 + 1;
            Box box = beside(spot, width, i % 2 == 1, lines * LINE_HEIGHT);
            if (box.within(plot) && taken.stream().noneMatch(box::meets)) {
                write(labels, spot, box);
                taken.add(box);
                return;
            }
        }
        write(labels, spot, beside(spot, width, spot.x() + 10 + width > WIDTH, 0));
    }

    private static Box beside(Spot spot, double width, boolean onTheLeft, double lower) {
        double left = onTheLeft ? spot.x() - 10 - width : spot.x() + 10;
        double middle = spot.y() + lower;
        return new Box(left, left + width, middle - LINE_HEIGHT / 2, middle + LINE_HEIGHT / 2);
    }

    private static void write(Svg labels, Spot spot, Box box) {
        boolean onTheLeft = box.left() < spot.x();
        labels.text(
                spot.text(),
                "class",
                "name s" + spot.series(),
                "x",
                onTheLeft ? box.right() : box.left(),
                "y",
                box.below() - LINE_HEIGHT / 2 + 4,
                "text-anchor",
                onTheLeft ? "end" : "start");
    }
}
