package evendose.cli.spark;

import evendose.cli.TileTable;
import evendose.correction.DoseTable;
import evendose.files.WholeFile;
import evendose.layout.Layer;
import evendose.pieces.Pieces;
import java.nio.file.Path;
import java.util.Locale;
import java.util.Map;
import java.util.OptionalDouble;
import org.apache.hadoop.conf.Configuration;
import org.apache.parquet.conf.ParquetConfiguration;
import org.apache.parquet.conf.PlainParquetConfiguration;
import org.apache.parquet.hadoop.ParquetWriter;
import org.apache.parquet.hadoop.api.WriteSupport;
import org.apache.parquet.hadoop.metadata.CompressionCodecName;
import org.apache.parquet.io.LocalOutputFile;
import org.apache.parquet.io.OutputFile;
import org.apache.parquet.io.api.Binary;
import org.apache.parquet.io.api.RecordConsumer;
import org.apache.parquet.schema.LogicalTypeAnnotation;
import org.apache.parquet.schema.MessageType;
import org.apache.parquet.schema.PrimitiveType.PrimitiveTypeName;
import org.apache.parquet.schema.Types;

/**
 * The doses of a tile as Apache Parquet: a row a piece with the columns of {@link evendose.correction.DoseTableCsv}, whole numbers as 32 bits, all others as
 * doubles, the status as a string. An absolute dose is null where the base dose is not known.
 */
final class ParquetDoses implements TileTable {
    private static final long serialVersionUID = 1L;

    private static final String[] WHOLE = {"piece", "shape", "unit", "layer", "datatype"};
    private static final int CORNERS = 4;

    @Override
    public String name(int tile) {
        return String.format(Locale.ROOT, "doses-part-%06d.parquet", tile);
    }

    @Override
    public void write(DoseTable table, Path file) {
        WholeFile.write(file, beside -> {
            try (ParquetWriter<Integer> out = new Builder(new LocalOutputFile(beside), table).build()) {
                for (int i = 0; i < table.pieces().size(); i++) {
                    out.write(i);
                }
            }
        });
    }

    private static MessageType columns() {
        Types.MessageTypeBuilder all = Types.buildMessage();
        for (String name : WHOLE) {
            all.required(PrimitiveTypeName.INT32).named(name);
        }
        for (int k = 1; k <= CORNERS; k++) {
            all.required(PrimitiveTypeName.DOUBLE).named("x" + k + "_um");
            all.required(PrimitiveTypeName.DOUBLE).named("y" + k + "_um");
        }
        return all.required(PrimitiveTypeName.DOUBLE)
                .named("dose_factor")
                .optional(PrimitiveTypeName.DOUBLE)
                .named("dose_uc_per_cm2")
                .required(PrimitiveTypeName.INT32)
                .named("level")
                .required(PrimitiveTypeName.DOUBLE)
                .named("energy_uncorrected")
                .required(PrimitiveTypeName.DOUBLE)
                .named("energy_corrected")
                .required(PrimitiveTypeName.BINARY)
                .as(LogicalTypeAnnotation.stringType())
                .named("status")
                .named("doses");
    }

    private static final class Builder extends ParquetWriter.Builder<Integer, Builder> {
        private final DoseTable table;

        Builder(OutputFile file, DoseTable table) {
            super(file);
            this.table = table;
            withConf(new PlainParquetConfiguration());
            withCompressionCodec(CompressionCodecName.SNAPPY);
        }

        @Override
        protected Builder self() {
            return this;
        }

        @Override
        protected WriteSupport<Integer> getWriteSupport(ParquetConfiguration configuration) {
            return new Rows(table);
        }

        @Override
        protected WriteSupport<Integer> getWriteSupport(Configuration configuration) {
            return new Rows(table);
        }
    }

    /** Rows by the number of their piece. */
    private static final class Rows extends WriteSupport<Integer> {
        private final DoseTable table;
        private final int[] unitOfPiece;
        private final int[] shapeOfUnit;
        private final MessageType columns = columns();
        private RecordConsumer out;
        private int column;

        Rows(DoseTable table) {
            this.table = table;
            this.unitOfPiece = table.pieces().unitOfPiece();
            this.shapeOfUnit = table.pieces().shapeOfUnit();
        }

        @Override
        public WriteContext init(ParquetConfiguration configuration) {
            return new WriteContext(columns, Map.of());
        }

        @Override
        public WriteContext init(Configuration configuration) {
            return new WriteContext(columns, Map.of());
        }

        @Override
        public void prepareForWrite(RecordConsumer consumer) {
            out = consumer;
        }

        @Override
        public void write(Integer piece) {
            Pieces pieces = table.pieces();
            int unit = unitOfPiece[piece];
            int shape = shapeOfUnit[unit];
            Layer layer = table.roles().get(pieces.layerOfShape(shape)).layer();
            out.startMessage();
            column = 0;
            whole(piece);
            whole(shape);
            whole(unit);
            whole(layer.number());
            whole(layer.datatype());
            for (int k = 0; k < CORNERS; k++) {
                number(pieces.cornerXUm(piece, k));
                number(pieces.cornerYUm(piece, k));
            }
            number(table.factor(unit));
            OptionalDouble base = table.options().baseDoseUcPerCm2();
            if (base.isPresent()) {
                number(base.getAsDouble() * table.factor(unit));
            } else {
                column++;
            }
            whole(table.level(unit));
            number(table.energyUncorrected(unit));
            number(table.energyCorrected(unit));
            begin();
            out.addBinary(Binary.fromString(table.status(unit).word()));
            end();
            out.endMessage();
        }

        private void whole(int value) {
            begin();
            out.addInteger(value);
            end();
        }

        private void number(double value) {
            begin();
            out.addDouble(value);
            end();
        }

        private void begin() {
            out.startField(columns.getFieldName(column), column);
        }

        private void end() {
            out.endField(columns.getFieldName(column), column);
            column++;
        }
    }
}
