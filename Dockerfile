# Builds one static binary and runs it without root; the book is in /data.
FROM golang:1.26 AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN CGO_ENABLED=0 go build -trimpath -ldflags="-s -w" -o /out/sinterbook ./cmd/sinterbook \
 && install -d -m 0700 /out/data

FROM scratch
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/
COPY --from=build /out/sinterbook /sinterbook
COPY --from=build --chown=65532:65532 /out/data /data
USER 65532:65532
ENV SINTERBOOK_DATA=/data SINTERBOOK_ADDR=0.0.0.0:8470
VOLUME /data
EXPOSE 8470
ENTRYPOINT ["/sinterbook"]
CMD ["serve"]
