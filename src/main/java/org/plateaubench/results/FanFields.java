package org.plateaubench.results;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.plateaubench.results.ResultFiles.Fields;

/** Figures of fans as fields of results.json. */
final class FanFields {

    private FanFields() {}

    static Map<String, Object> of(FanSetResult set) {
        Fields f = new Fields();
        f.map.put("characterised", set.characterised());
        f.number("start_duty_percent", set.startPercent(), 2);
        f.number("stop_duty_percent", set.stopPercent(), 2);
        f.number("spread_percent", set.spreadPercent(), 2);
        List<Object> fans = new ArrayList<>();
        set.fans().forEach(fan -> fans.add(fan(fan)));
        f.map.put("fans", fans);
        List<Object> curve = new ArrayList<>();
        set.curve().forEach(point -> {
            Fields p = new Fields();
            p.number("duty_percent", point.dutyPercent(), 2);
            p.number("speed_rpm", point.rpm(), 1);
            curve.add(p.map);
        });
        f.map.put("curve", curve);
        return f.map;
    }

    private static Map<String, Object> fan(FanResult fan) {
        Fields f = new Fields();
        f.map.put("fan", fan.fan());
        f.map.put("characterised", fan.characterised());
        trials("start_duty", fan.start(), f);
        trials("stop_duty", fan.stop(), f);
        f.number("minimum_rpm", fan.minimumRpm(), 1);
        f.number("maximum_rpm", fan.maximumRpm(), 1);
        f.number("linearity_percent", fan.linearityPercent(), 2);
        f.number("hysteresis_percent_of_duty", fan.hysteresisPercent(), 2);
        f.number("cap_rpm", fan.capRpm(), 1);
        f.number("cap_from_duty_percent", fan.capFromPercent(), 2);
        f.number("spin_up_s", fan.spinUpSeconds(), 3);
        f.number("coast_down_s", fan.coastDownSeconds(), 3);
        return f.map;
    }

    private static void trials(String name, FanResult.Trials trials, Fields f) {
        f.map.put(name + "_trials", trials.trials());
        f.number(name + "_percent", trials.meanPercent(), 2);
        f.number(name + "_lowest_percent", trials.lowestPercent(), 2);
        f.number(name + "_highest_percent", trials.highestPercent(), 2);
    }
}
