package org.plateaubench.benchfile;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.Predicate;
import org.plateaubench.units.Unit;

/**
 * What a bench is: its devices, channels, actuators, heat loads and limits. A model only: nothing here opens a device.
 *
 * @param name the bench's name; part of its identity
 * @param configuration what describes the set-up, in file order; part of its identity
 * @param devices in file order
 * @param channels in file order
 * @param groups named groups of channels, in file order
 * @param actuators in file order
 * @param workloads heat loads that are commands, in file order
 * @param supply the heat load that is set to a power, if the bench has one
 * @param limits the bench's own limits, in file order; a plan may only tighten them
 * @param commissioning what a commissioning soak measured, if there was one
 * @param simulation parameters of the simulated bench; present exactly if this bench is simulated
 */
public record BenchFile(
        String name,
        List<Fact> configuration,
        List<DeviceSpec> devices,
        List<ChannelSpec> channels,
        List<Group> groups,
        List<ActuatorSpec> actuators,
        List<WorkloadSpec> workloads,
        Optional<SupplySpec> supply,
        List<Limit> limits,
        Optional<Commissioning> commissioning,
        Optional<SimulationSpec> simulation) {

    /** Name of the actuator that sets the fans' duty. */
    public static final String FAN_DUTY = "fan-duty";
    /** Name of the actuator that sets the pump's duty. */
    public static final String PUMP_DUTY = "pump-duty";
    /** Name of the actuator that switches the fans' supply: 0 % off, 100 % on. Only fans that cannot stop need it. */
    public static final String FAN_SWITCH = "fan-switch";
    /** Name of the column of the supply's readback. */
    public static final String SUPPLY = "supply";
    /** Name of the group of fan tachometer channels. */
    public static final String FANS = "fans";
    /** Name of the pump's tachometer channel. */
    public static final String PUMP = "pump";
    /** Name, or first part of the name before a dash, of the channels of air temperature at the intake. */
    public static final String AMBIENT = "ambient";
    /** Name, or first part of the name before a dash, of the channels of liquid temperature. */
    public static final String COOLANT = "coolant";
    /** Name of the channel of processor temperature. */
    public static final String CPU = "cpu";
    /** Name of the channel of delivered heat flow. */
    public static final String POWER = "power";

    /** Used where a bench was never commissioned: the middle of what such loops show. Common practice, no source. */
    private static final double USUAL_TIME_CONSTANT_SECONDS = 350.0;

    /** Copies the lists. */
    public BenchFile {
        configuration = List.copyOf(configuration);
        devices = List.copyOf(devices);
        channels = List.copyOf(channels);
        groups = List.copyOf(groups);
        actuators = List.copyOf(actuators);
        workloads = List.copyOf(workloads);
        limits = List.copyOf(limits);
    }

    /**
     * The same bench with other channels.
     *
     * @param others the channels, in file order
     * @return the bench
     */
    public BenchFile withChannels(List<ChannelSpec> others) {
        return new BenchFile(
                name,
                configuration,
                devices,
                others,
                groups,
                actuators,
                workloads,
                supply,
                limits,
                commissioning,
                simulation);
    }

    /**
     * The same bench, simulated.
     *
     * @param spec how
     * @return the bench
     */
    public BenchFile withSimulation(SimulationSpec spec) {
        return new BenchFile(
                name,
                configuration,
                devices,
                channels,
                groups,
                actuators,
                workloads,
                supply,
                limits,
                commissioning,
                Optional.of(spec));
    }

    /** {@return time constant of the loop by which the ambient is filtered, s: commissioned, or else the usual one} */
    public double loopTimeConstantSeconds() {
        return commissioning.map(Commissioning::fastTimeConstantSeconds).orElse(USUAL_TIME_CONSTANT_SECONDS);
    }

    /**
     * {@return by how much the ambient probes lag behind those of the coolant, s: commissioned, or else what the channels
     * state, or else 0; never more than the loop's time constant}
     */
    public double probeLagSeconds() {
        double stated = meanLagSeconds(AMBIENT) - meanLagSeconds(COOLANT);
        double lag = commissioning
                .map(Commissioning::probeLagSeconds)
                .orElse(OptionalDouble.empty())
                .orElse(Math.max(0.0, stated));
        return Math.min(lag, loopTimeConstantSeconds());
    }

    private double meanLagSeconds(String role) {
        return channelsOf(role).stream()
                .mapToDouble(c -> c.timeConstantSeconds().orElse(0.0))
                .average()
                .orElse(0.0);
    }

    /** {@return time constant of the slow mode, s, if the bench was commissioned} */
    public OptionalDouble slowTimeConstantSeconds() {
        return commissioning.isPresent()
                ? OptionalDouble.of(commissioning.get().slowTimeConstantSeconds())
                : OptionalDouble.empty();
    }

    /**
     * One named text of the configuration.
     *
     * @param name for example "radiator"
     * @param text for example "360 mm, 30 mm deep"
     */
    public record Fact(String name, String text) {}

    /**
     * A named group of channels.
     *
     * @param name for example "fans"
     * @param channels names of its channels, in file order
     */
    public record Group(String name, List<String> channels) {
        /** Copies the list. */
        public Group {
            channels = List.copyOf(channels);
        }
    }

    /**
     * One column of a sample: a channel, or the readback of an actuator or of the supply.
     *
     * @param name the channel's name, or the actuator's name, or {@link #SUPPLY}
     * @param unit unit of its readings
     */
    public record Column(String name, Unit unit) {}

    /**
     * {@return what a sample holds, in this order: every channel, then every actuator that can be read back, each in
     * file order, then the supply's readback}
     */
    public List<Column> columns() {
        return columns(device -> true);
    }

    /**
     * {@return the columns of one device, in the order of {@link #columns()}}
     *
     * @param device name of the device
     */
    public List<Column> columnsOf(String device) {
        return columns(device::equals);
    }

    private List<Column> columns(Predicate<String> ofDevice) {
        List<Column> columns = new ArrayList<>();
        channels.stream()
                .filter(c -> ofDevice.test(c.device()))
                .forEach(c -> columns.add(new Column(c.name(), c.unit())));
        actuators.stream()
                .filter(a -> ofDevice.test(a.device()) && a.readback().isPresent())
                .forEach(a -> columns.add(new Column(a.name(), Unit.PERCENT)));
        supply.filter(s -> ofDevice.test(s.device()) && s.readback().isPresent())
                .ifPresent(s -> columns.add(new Column(SUPPLY, Unit.WATT)));
        return List.copyOf(columns);
    }

    /**
     * Where a column stands in a sample.
     *
     * @param column name of a channel or of an actuator with readback, or {@link #SUPPLY}
     * @return its index in {@link #columns()}, or -1 if there is none
     */
    public int indexOf(String column) {
        List<Column> columns = columns();
        for (int i = 0; i < columns.size(); i++) {
            if (columns.get(i).name().equals(column)) {
                return i;
            }
        }
        return -1;
    }

    /**
     * Finds a channel.
     *
     * @param channel its name
     * @return the channel, or empty
     */
    public Optional<ChannelSpec> channel(String channel) {
        return channels.stream().filter(c -> c.name().equals(channel)).findFirst();
    }

    /**
     * Finds the channels of one quantity by their name: "coolant" and "coolant-in" are both coolant channels.
     *
     * @param role for example {@link #COOLANT}
     * @return the channels, in file order; may be empty
     */
    public List<ChannelSpec> channelsOf(String role) {
        return channels.stream()
                .filter(c -> c.name().equals(role) || c.name().startsWith(role + "-"))
                .toList();
    }

    /**
     * Standard uncertainty of what several channels measure together, for errors that have nothing in common. Samples are
     * read so: ambient probes are weighted with 1/u², all others are averaged.
     *
     * @param role for example {@link #COOLANT}
     * @return in the base unit of the channels; empty unless each of them states its uncertainty
     */
    public OptionalDouble standardUncertainty(String role) {
        List<ChannelSpec> of = channelsOf(role);
        if (of.isEmpty() || of.stream().anyMatch(c -> c.uncertainty().isEmpty())) {
            return OptionalDouble.empty();
        }
        double squares = 0.0;
        double precision = 0.0;
        for (ChannelSpec channel : of) {
            double u = channel.uncertainty().get().standard() * channel.unit().toBase();
            squares += u * u;
            precision += 1.0 / (u * u);
        }
        return OptionalDouble.of(
                role.equals(AMBIENT) ? StrictMath.sqrt(1.0 / precision) : StrictMath.sqrt(squares) / of.size());
    }

    /**
     * Tells whether a quantity is measured by a single channel of which only limits are known.
     *
     * @param role for example {@link #COOLANT}
     * @return true if it is, so that its error has no tails
     */
    public boolean knowsOnlyLimits(String role) {
        List<ChannelSpec> of = channelsOf(role);
        return of.size() == 1
                && of.get(0).uncertainty().map(ChannelSpec.Uncertainty::limits).orElse(false);
    }

    /**
     * Finds an actuator.
     *
     * @param actuator its name
     * @return the actuator, or empty
     */
    public Optional<ActuatorSpec> actuator(String actuator) {
        return actuators.stream().filter(a -> a.name().equals(actuator)).findFirst();
    }

    /** {@return the channel of the sound level meter: the first that declares a weighting; empty if there is none} */
    public Optional<ChannelSpec> levelChannel() {
        return channels.stream().filter(c -> c.level().isPresent()).findFirst();
    }

    /**
     * Finds a workload.
     *
     * @param workload its name
     * @return the workload, or empty
     */
    public Optional<WorkloadSpec> workload(String workload) {
        return workloads.stream().filter(w -> w.name().equals(workload)).findFirst();
    }

    /**
     * Finds a group.
     *
     * @param group its name
     * @return names of its channels; empty if there is no such group
     */
    public List<String> group(String group) {
        return groups.stream()
                .filter(g -> g.name().equals(group))
                .findFirst()
                .map(Group::channels)
                .orElse(List.of());
    }
}
