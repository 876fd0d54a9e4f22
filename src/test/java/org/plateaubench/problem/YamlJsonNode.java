package org.plateaubench.problem;

import dev.harrel.jsonschema.JsonNode;
import dev.harrel.jsonschema.JsonNodeFactory;
import dev.harrel.jsonschema.SimpleType;
import java.math.BigDecimal;
import java.math.BigInteger;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Pattern;

/** Shows a document to a JSON Schema validator. JSON is YAML, so the schemas are read in the same way. */
public final class YamlJsonNode implements JsonNode {

    private static final Pattern NUMBER = Pattern.compile("-?(0|[1-9][0-9]*)(\\.[0-9]+)?([eE][-+]?[0-9]+)?");

    private final Yaml node;
    private final String pointer;

    private YamlJsonNode(Yaml node, String pointer) {
        this.node = node;
        this.pointer = pointer;
    }

    /** {@return a factory that takes {@link Yaml} nodes, and JSON texts} */
    public static JsonNodeFactory factory() {
        return new JsonNodeFactory() {
            @Override
            public JsonNode wrap(Object node) {
                return node instanceof YamlJsonNode ready ? ready : new YamlJsonNode((Yaml) node, "");
            }

            @Override
            public JsonNode create(String json) {
                SourceText text = new SourceText("schema", json.getBytes(StandardCharsets.UTF_8));
                return wrap(Document.of(text).root().orElseThrow());
            }
        };
    }

    private boolean plain() {
        return node instanceof Yaml.Scalar scalar && scalar.plain();
    }

    @Override
    public String getJsonPointer() {
        return pointer;
    }

    @Override
    public SimpleType getNodeType() {
        if (node instanceof Yaml.Mapping) {
            return SimpleType.OBJECT;
        }
        if (node instanceof Yaml.Sequence) {
            return SimpleType.ARRAY;
        }
        if (((Yaml.Scalar) node).isNull()) {
            return SimpleType.NULL;
        }
        if (plain() && (node.text().equals("true") || node.text().equals("false"))) {
            return SimpleType.BOOLEAN;
        }
        if (plain() && NUMBER.matcher(node.text()).matches()) {
            return asNumber().stripTrailingZeros().scale() <= 0 ? SimpleType.INTEGER : SimpleType.NUMBER;
        }
        return SimpleType.STRING;
    }

    @Override
    public boolean asBoolean() {
        return node.text().equals("true");
    }

    @Override
    public String asString() {
        return node.text();
    }

    @Override
    public BigInteger asInteger() {
        return asNumber().toBigIntegerExact();
    }

    @Override
    public BigDecimal asNumber() {
        return new BigDecimal(node.text());
    }

    @Override
    public List<JsonNode> asArray() {
        List<JsonNode> items = new ArrayList<>();
        for (Yaml item : ((Yaml.Sequence) node).items()) {
            items.add(new YamlJsonNode(item, pointer + "/" + items.size()));
        }
        return items;
    }

    @Override
    public Map<String, JsonNode> asObject() {
        Map<String, JsonNode> values = new LinkedHashMap<>();
        for (Yaml.Entry entry : ((Yaml.Mapping) node).entries()) {
            String key = pointer + "/" + JsonNode.encodeJsonPointer(entry.key());
            values.put(entry.key(), new YamlJsonNode(entry.value(), key));
        }
        return values;
    }
}
