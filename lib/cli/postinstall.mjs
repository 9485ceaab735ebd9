console.log("postinstall placeholder during bootstrap")
